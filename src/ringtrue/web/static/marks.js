// Shape and style class of every place of a cylinder. The word stands beside it, as the server says it.

const MARKS = {
  "in line": ["in-line", "●"],
  low: ["low", "▼"],
  high: ["high", "▲"],
  "cannot tell": ["cannot-tell", "◆"],
  "not read": ["not-read", "○"],
};

const OPEN = ["cannot-tell", "◆"];

export function markOf(cylinder) {
  const [style, shape] = cylinder.conflict ? OPEN : (MARKS[cylinder.place] ?? OPEN);
  return { style, shape };
}

// A figure with its unit, parted so that the unit can be written smaller.
export function parted(text) {
  const at = text.lastIndexOf(" ");
  return at < 0 ? [text, ""] : [text.slice(0, at), text.slice(at + 1)];
}
