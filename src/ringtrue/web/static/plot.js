// What every drawing in the plane has in common: inks from the style sheet, type, axes, and drawing again when the room, the
// screen's light or the paper asks for it.

import uPlot from "./vendor/uplot.js";

export { uPlot };

export const NARROW = 260; // below it axes have no room [px]

const INKS = ["ink", "quiet", "hair", "wash", "paper", "accent", "low", "high", "high-wash", "unsure"];

export function inks() {
  const style = getComputedStyle(document.documentElement);
  return Object.fromEntries(INKS.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
}

export const typeOf = (element) => `${Math.round(0.82 * parseFloat(getComputedStyle(element).fontSize))}px system-ui, sans-serif`;

// A number as it stands on an axis.
export const figure = (value) => `${+value.toPrecision(6)}`.replace("-", "−");

export const axis = (ink, font, more) => ({
  stroke: ink.quiet,
  font,
  labelFont: font,
  grid: { stroke: ink.hair, width: 1 },
  ticks: { stroke: ink.hair, width: 1 },
  ...more,
});

// Draws now, and again as often as needed; returns what ends it. `draw` gives back a uPlot.
export function keepDrawn(element, draw) {
  let plot = draw();
  let width = element.clientWidth;
  const again = () => {
    plot.destroy();
    plot = draw();
  };
  const seen = ["(prefers-color-scheme: dark)", "print"].map((query) => matchMedia(query));
  for (const each of seen) each.addEventListener("change", again);
  const sized = new ResizeObserver(() => {
    if (Math.abs(element.clientWidth - width) > 2) {
      width = element.clientWidth;
      again();
    }
  });
  sized.observe(element);
  return () => {
    for (const each of seen) each.removeEventListener("change", again);
    sized.disconnect();
    plot.destroy();
  };
}
