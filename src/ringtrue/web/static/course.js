// Draws every course of a page from the figures that stand beside it as JSON: lines, points with intervals, bands, limits and
// what happened in between. uPlot makes the plane, its axes and its scales; what lies in it is drawn here, since shapes, and
// names beside what they name, tell it apart without colour.

import { NARROW, axis, figure, inks, keepDrawn, typeOf, uPlot } from "./plot.js";

const DAY = 86_400; // [s]
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const DASHES = { whole: [], dashed: [6, 4], dotted: [1.5, 3] };
const NEAR = 28; // a point is touched from so far [px]

const scaled = (course, x) => (course.x.counts === "date" ? x * DAY : x);

function day(seconds, step) {
  const date = new Date(seconds * 1000);
  const year = date.getUTCFullYear();
  if (step >= 300 * DAY) return `${year}`;
  const month = MONTHS[date.getUTCMonth()];
  return step >= 25 * DAY ? `${month} ${year}` : `${date.getUTCDate()} ${month}`;
}

const WHOLE = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000];

function acrossAxis(course, ink, font) {
  const size = parseFloat(font);
  const { counts, title } = course.x;
  const more = { grid: { show: false }, size: 2.2 * size, label: title, labelSize: 1.5 * size, labelGap: 0 };
  if (counts === "date") return axis(ink, font, { ...more, space: 6 * size, values: (_, splits, __, ___, step) => splits.map((each) => day(each, step)) });
  if (counts === "whole") more.incrs = WHOLE;
  return axis(ink, font, { ...more, space: (counts === "whole" ? 2.6 : 4) * size, values: (_, splits) => splits.map(figure) });
}

function upAxis(course, font, ink) {
  const more = course.y.counts === "whole" ? { incrs: WHOLE } : {};
  return axis(ink, font, { ...more, size: 4 * parseFloat(font), space: 34, values: (_, splits) => splits.map(figure) });
}

// One shape of a point.
function shape(context, kind, x, y, r, colour, paper) {
  context.beginPath();
  context.setLineDash([]);
  context.fillStyle = context.strokeStyle = colour;
  context.lineWidth = r / 2.2;
  if (kind === "dot" || kind === "ring") context.arc(x, y, r, 0, 2 * Math.PI);
  else if (kind === "square") context.rect(x - r, y - r, 2 * r, 2 * r);
  else if (kind === "cross") {
    context.moveTo(x - r, y - r);
    context.lineTo(x + r, y + r);
    context.moveTo(x - r, y + r);
    context.lineTo(x + r, y - r);
  } else {
    const corners = { diamond: [[0, -1.35], [1.35, 0], [0, 1.35], [-1.35, 0]], up: [[0, -1.3], [1.2, 0.9], [-1.2, 0.9]], down: [[0, 1.3], [1.2, -0.9], [-1.2, -0.9]] }[kind];
    if (!corners) return;
    corners.forEach(([dx, dy], at) => context[at ? "lineTo" : "moveTo"](x + r * dx, y + r * dy));
    context.closePath();
  }
  if (kind === "ring") {
    context.fillStyle = paper;
    context.fill();
  }
  if (kind === "ring" || kind === "cross") context.stroke();
  else context.fill();
}

// Words with paper round them, so that lines do not run through.
function words(context, text, x, y, colour, paper) {
  context.setLineDash([]);
  context.lineJoin = "round";
  context.lineWidth = 4 * devicePixelRatio;
  context.strokeStyle = paper;
  context.strokeText(text, x, y);
  context.fillStyle = colour;
  context.fillText(text, x, y);
}

function cut(context, text, room) {
  if (context.measureText(text).width <= room) return text;
  const letters = [...text];
  while (letters.length && context.measureText(`${letters.join("")}…`).width > room) letters.pop();
  return `${letters.join("")}…`;
}

// Draws into the plane of a plot; everything is in the pixels of the canvas.
class Field {
  constructor(plot, course, ink, font) {
    Object.assign(this, { course, ink, context: plot.ctx, box: plot.bbox, dot: devicePixelRatio });
    this.size = parseFloat(font) * this.dot;
    this.font = font.replace(/^[\d.]+px/, `${this.size}px`);
    this.x = (x) => plot.valToPos(scaled(course, x), "x", true);
    this.y = (y) => plot.valToPos(y, "y", true);
  }

  within(draw, clipped = true) {
    const { context, box, size } = this;
    context.save();
    context.beginPath();
    context.font = this.font;
    // Points at the edge are drawn whole.
    const more = clipped ? 0 : size;
    context.rect(box.left - more, box.top - more, box.width + 2 * more, box.height + 2 * more);
    context.clip();
    draw(context);
    context.restore();
  }

  path(corners) {
    this.context.beginPath();
    corners.forEach(([x, y], at) => this.context[at ? "lineTo" : "moveTo"](this.x(x), this.y(y)));
  }

  pen(colour, width, stroke = "whole") {
    this.context.strokeStyle = colour;
    this.context.lineWidth = width * this.dot;
    this.context.setLineDash(DASHES[stroke].map((each) => each * this.dot));
  }

  behind() {
    const { course, ink, box } = this;
    this.within((context) => {
      for (const { edges, ink: name } of course.bands) {
        this.path([...edges.map(([x, low]) => [x, low]), ...[...edges].reverse().map(([x, , high]) => [x, high])]);
        context.closePath();
        context.fillStyle = ink[name];
        context.fill();
        this.pen(ink.hair, 1);
        context.stroke();
      }
      for (const { x } of course.occasions) {
        this.pen(ink.quiet, 1, "dotted");
        context.beginPath();
        context.moveTo(this.x(x), box.top);
        context.lineTo(this.x(x), box.top + box.height);
        context.stroke();
      }
      for (const limit of course.limits) {
        this.pen(ink[limit.ink], 1.5, limit.stroke);
        context.beginPath();
        context.moveTo(box.left, this.y(limit.y));
        context.lineTo(box.left + box.width, this.y(limit.y));
        context.stroke();
      }
    });
  }

  lines() {
    const { course, ink } = this;
    this.within((context) => {
      for (const line of course.lines) {
        if (line.stroke !== "none") {
          this.pen(ink[line.ink], 1.75, line.stroke);
          this.path(line.spots.map((spot) => [spot.x, spot.y]));
          context.stroke();
        }
        for (const spot of line.spots) {
          if (spot.low === undefined) continue;
          this.pen(ink[spot.ink ?? line.ink], 1.25);
          this.path([
            [spot.x, spot.low],
            [spot.x, spot.high],
          ]);
          context.stroke();
        }
      }
    });
    this.within((context) => {
      // Many points are drawn small.
      const many = Math.max(...course.lines.map((line) => line.spots.length)) * 9 * this.dot > this.box.width;
      for (const line of course.lines)
        for (const spot of line.spots) {
          const own = spot.shape ?? line.shape;
          const r = (many && !spot.shape ? 2 : 3.4) * this.dot;
          shape(context, own, this.x(spot.x), this.y(spot.y), r, ink[spot.ink ?? line.ink], ink.paper);
        }
    }, false);
  }

  // Occasions are named upright at their lines: at the top, at the foot where the one before is too near, else in the table only.
  occasions(context) {
    const { course, ink, box, size, dot } = this;
    const last = { right: -Infinity, left: -Infinity };
    context.textBaseline = "bottom";
    for (const { x, label } of course.occasions) {
      const at = this.x(x);
      const align = Object.keys(last).find((each) => at - last[each] >= 1.3 * size);
      if (!align) continue;
      last[align] = at;
      context.textAlign = align;
      context.save();
      context.translate(at - 1.3 * size < box.left ? at + 1.2 * size : at - 2 * dot, align === "right" ? box.top + 2 * dot : box.top + box.height - 2 * dot);
      context.rotate(-Math.PI / 2);
      words(context, cut(context, label, 0.45 * box.height), 0, 0, ink.quiet, ink.paper);
      context.restore();
    }
  }

  names() {
    const { course, ink, box, size } = this;
    this.within((context) => {
      this.occasions(context);
      for (const limit of course.limits) {
        const y = this.y(limit.y);
        const over = y - 1.3 * size > box.top;
        context.textBaseline = over ? "bottom" : "top";
        context.textAlign = limit.begins ? "left" : "right";
        const x = limit.begins ? box.left + 3 * this.dot : box.left + box.width;
        words(context, cut(context, limit.label, box.width - size), x, y + (over ? -3 : 3) * this.dot, ink[limit.ink], ink.paper);
      }
      context.textAlign = "center";
      for (const line of course.lines)
        for (const spot of line.spots) {
          if (!spot.name) continue;
          const text = cut(context, spot.name, box.width / 2);
          const half = context.measureText(text).width / 2;
          const x = Math.min(Math.max(this.x(spot.x), box.left + half), box.left + box.width - half);
          const top = this.y(spot.high ?? spot.y);
          const over = top - 1.6 * size > box.top;
          context.textBaseline = over ? "bottom" : "top";
          words(context, text, x, over ? top - 5 * this.dot : this.y(spot.low ?? spot.y) + 6 * this.dot, ink[spot.ink ?? line.ink], ink.paper);
        }
    }, false);
  }

  // Lines are named where they end, one clear of the other, in the room beside the field.
  ends(room) {
    if (!room) return;
    const { context, course, ink, box, size } = this;
    const ended = course.lines.map((line) => ({ line, y: this.y(line.spots.at(-1).y) })).sort((a, b) => a.y - b.y);
    let least = box.top;
    for (const each of ended) {
      each.y = Math.max(each.y, least);
      least = each.y + 1.2 * size;
    }
    let most = box.top + box.height;
    for (const each of ended.reverse()) {
      each.y = Math.min(each.y, most);
      most = each.y - 1.2 * size;
    }
    context.save();
    context.font = this.font;
    context.textBaseline = "middle";
    context.textAlign = "left";
    for (const { line, y } of ended) words(context, cut(context, line.label, room * this.dot - size / 2), box.left + box.width + 0.7 * size, y, ink[line.ink], ink.paper);
    context.restore();
  }
}

// The room that names of lines take beside the field; none where there is no place for them: the key names them too.
function roomFor(course, element, font) {
  const right = Math.max(...course.lines.flatMap((line) => line.spots.map((spot) => spot.x)));
  if (course.lines.length < 2 || !course.lines.every((line) => line.stroke !== "none" && line.spots.at(-1)?.x === right)) return 0;
  const context = document.createElement("canvas").getContext("2d");
  context.font = font;
  const wanted = Math.max(...course.lines.map((line) => context.measureText(line.label).width)) + parseFloat(font);
  const tall = 1.2 * parseFloat(font) * course.lines.length;
  return wanted <= 0.25 * element.clientWidth && tall <= 0.8 * element.clientHeight ? wanted : 0;
}

function drawn(element, course) {
  const ink = inks();
  const font = typeOf(element);
  const size = parseFloat(font);
  const room = roomFor(course, element, font);
  let field;
  const xs = [course.x.low, course.x.high].map((x) => scaled(course, x));
  return new uPlot(
    {
      width: Math.max(element.clientWidth, NARROW),
      height: Math.max(element.clientHeight, 120),
      legend: { show: false },
      cursor: { show: false },
      padding: [size, Math.max(room, size), 0, 0],
      tzDate: (seconds) => uPlot.tzDate(new Date(seconds * 1000), "Etc/UTC"),
      scales: { x: { time: course.x.counts === "date", range: () => xs }, y: { range: () => [course.y.low, course.y.high] } },
      axes: [acrossAxis(course, ink, font), upAxis(course, font, ink)],
      series: [{}, { show: true, paths: () => null, points: { show: false } }],
      hooks: {
        drawAxes: [
          (plot) => {
            field = new Field(plot, course, ink, font);
            field.behind();
          },
        ],
        draw: [
          () => {
            field.lines();
            field.names();
            field.ends(room);
          },
        ],
      },
    },
    [xs, [course.y.low, course.y.high]],
    element,
  );
}

// A point that is touched or pointed at is told in words under the drawing.
function tells(element, said, course) {
  const spots = course.lines.flatMap((line) => line.spots.filter((spot) => spot.says));
  if (!spots.length) return;
  element.addEventListener("pointerdown", told);
  element.addEventListener("pointermove", told);
  function told(event) {
    const over = element.querySelector(".u-over")?.getBoundingClientRect();
    if (!over) return;
    const { x, y } = course;
    const place = (spot) => [
      over.left + ((spot.x - x.low) / (x.high - x.low)) * over.width - event.clientX,
      over.bottom - ((spot.y - y.low) / (y.high - y.low)) * over.height - event.clientY,
    ];
    let near = NEAR;
    let found;
    for (const spot of spots) {
      const far = Math.hypot(...place(spot));
      if (far < near) [near, found] = [far, spot];
    }
    if (found) said.textContent = found.says;
  }
}

for (const figure of document.querySelectorAll("figure.course")) {
  const course = JSON.parse(figure.querySelector("script").textContent);
  const element = figure.querySelector(".course-plot");
  keepDrawn(element, () => drawn(element, course));
  tells(element, figure.querySelector(".course-said"), course);
  figure.dataset.drawn = "yes";
}

// On paper the table stands open beside the drawing.
addEventListener("beforeprint", () => {
  for (const each of document.querySelectorAll("details.course-figures")) each.open = true;
});
