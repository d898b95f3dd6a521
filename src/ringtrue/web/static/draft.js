// What is being typed for one pull, before it is saved: pure functions from one draft to the next.

const LONGEST = 7; // characters of a figure
const FIGURE = /^\d*(\.\d*)?$/; // as far as it is typed
const FIGURE_WHOLE = /^\d+(\.\d*)?$/;
const COUNT = /^\d{1,2}$/;

const FIELDS = ["first", "final", "strokes"];

// Oil is a field where a wet pull is put right before it is in the book.
export const fieldsOf = (draft) => (draft.oil === null ? FIELDS : [...FIELDS, "oil"]);

export const blank = () => ({
  first: "",
  final: "",
  strokes: "",
  oil: null, // [cc]
  unseen: false,
  spoiled: false,
  active: "first",
  fresh: false, // what stands in the active field is replaced by the first digit
  fault: "",
});

// A draft that begins with what a reading says, so that only what is wrong has to be typed.
export const from = (row) => ({
  ...blank(),
  first: row.first,
  final: row.final,
  strokes: row.strokes === null ? "" : String(row.strokes),
  oil: row.mended && row.kind === "wet" ? (/^([\d.]+) cc$/.exec(row.oil)?.[1] ?? null) : null,
  unseen: row.first === "",
  spoiled: row.spoiled,
  active: row.final === "" ? "first" : "final",
  fresh: row.final !== "",
});

export const isBlank = (draft) =>
  draft.first === "" && draft.final === "" && draft.strokes === "" && !draft.unseen && !draft.spoiled;

export function to(draft, field) {
  return { ...draft, active: field, fresh: draft[field] !== "" && field !== draft.active, fault: "" };
}

export function typed(draft, sign) {
  const field = draft.active;
  const before = draft.fresh ? "" : draft[field];
  const point = sign === ".";
  if (point && (before.includes(".") || field === "strokes")) return draft;
  // What is no digit stays in sight as it was typed, until it is rubbed out.
  if (!/^[0-9.]$/.test(sign) || !FIGURE.test(before)) return told(draft, field, (before + sign).slice(0, LONGEST + 1));
  if (before.replace(".", "").length >= (field === "strokes" ? 2 : LONGEST)) return draft;
  const after = point && before === "" ? "0." : before === "0" && !point ? sign : before + sign;
  return told(draft, field, after);
}

export function rubbed(draft) {
  const field = draft.active;
  return told(draft, field, draft.fresh ? "" : draft[field].slice(0, -1));
}

// The whole of a field, as a keyboard of the system leaves it.
export function written(draft, field, text) {
  return told({ ...draft, active: field }, field, text.replaceAll(",", ".").trim().slice(0, LONGEST + 1));
}

function told(draft, field, text) {
  const unseen = field === "first" && text !== "" ? false : draft.unseen;
  return { ...draft, [field]: text, unseen, fresh: false, fault: "" };
}

// One touch each; both go on to the final, and a second touch takes them back.
export function unseen(draft) {
  if (draft.unseen) return { ...draft, unseen: false, active: "first", fresh: false, fault: "" };
  return { ...draft, first: "", unseen: true, spoiled: false, active: "final", fresh: draft.final !== "", fault: "" };
}

export function spoiled(draft) {
  if (draft.spoiled) return { ...draft, spoiled: false, active: "first", fresh: draft.first !== "", fault: "" };
  return { ...draft, spoiled: true, unseen: false, active: "final", fresh: draft.final !== "", fault: "" };
}

// Whether the one large button goes on to the final, or saves.
export const goesOn = (draft) => draft.active === "first";

export const canGoOn = (draft) =>
  wrong(draft) === null &&
  (goesOn(draft) ? draft.first !== "" || draft.unseen || draft.spoiled : draft.final !== "" && draft.oil !== "");

// The field that holds something else than a figure; null where none does.
export const wrong = (draft) =>
  fieldsOf(draft).find((field) => draft[field] !== "" && !(field === "strokes" ? COUNT : FIGURE_WHOLE).test(draft[field])) ?? null;

export const isAbove = (draft) => draft.first !== "" && draft.final !== "" && Number(draft.first) > Number(draft.final);

// What goes to the book.
export const saidBy = (draft) => ({
  first: draft.first.replace(/\.$/, ""),
  final: draft.final.replace(/\.$/, ""),
  spoiled: draft.spoiled,
  strokes: draft.strokes,
  ...(draft.oil === null ? {} : { oil: `${draft.oil.replace(/\.$/, "")} cc` }),
});
