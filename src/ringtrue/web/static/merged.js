// A test as it stands in the book, with what this phone still holds laid over it. No figure is worked out here.

const IN_BOOK = "saved";
const HERE = "on this phone";
const REFUSED = "not taken";

// `items`: what is unsent. `settled`: what is in the book but not yet in this state, each {item, entry}.
export function merged(state, items, settled = []) {
  const cylinders = state.cylinders.map((each) => ({
    ...each,
    readings: each.readings.map((row) => ({ ...row, key: null, where: IN_BOOK, goes: false })),
    chosen: false,
  }));
  const drifts = state.drift_readings.map((row) => ({ ...row, key: null, where: IN_BOOK, goes: false }));
  const by = new Map(cylinders.map((each) => [each.name, each]));
  const rows = () => [...cylinders.flatMap((each) => each.readings), ...drifts];
  const fresh = settled.filter(({ entry }) => entry > state.version);

  let finishing = false;
  for (const { item, entry, where } of [
    ...fresh.map((each) => ({ ...each, where: IN_BOOK })),
    ...items.map((item) => ({ item, entry: item.entry, where: item.state === "refused" ? REFUSED : HERE })),
  ]) {
    const { body } = item;
    if (item.what === "pull") {
      const row = rowOf(item, where === IN_BOOK ? entry : null, where);
      if (body.drift) drifts.push(row);
      else by.get(body.cylinder)?.readings.push(row);
    } else if (item.what === "correct" || item.what === "take-back") {
      const row = rows().find((each) => (item.about ? each.key === item.about : each.entry === item.entry));
      if (!row) continue;
      row.where = where;
      // What comes after it is about this change: by its entry once it has one, by its key until then.
      if (where === IN_BOOK) row.entry = entry;
      else row.key = body.key;
      if (item.what === "take-back") row.goes = true;
      else Object.assign(row, { first: body.first, final: body.final, spoiled: body.spoiled, corrected: true, note: "" });
    } else if (item.what === "choose") {
      const cylinder = by.get(body.cylinder);
      if (cylinder) cylinder.chosen = true;
    } else if (item.what === "finish") {
      finishing = where !== REFUSED;
    }
  }

  const dry = (each) => each.readings.filter((row) => row.kind === "dry" && !row.goes);
  const pulled = (name) => {
    const each = by.get(name);
    return each !== undefined && dry(each).length > 0;
  };
  const read = state.order.filter((name) => by.has(name) && dry(by.get(name)).some((row) => row.final !== ""));
  const firstRead =
    state.drift ?? state.running[0]?.cylinder ?? items.find((item) => item.what === "pull" && item.body.final)?.body.cylinder;
  // A figure next to nothing stops the cranking before the book has it: what is typed says so on this phone already.
  const dead = [...by.values()]
    .filter((each) => dry(each).some((row) => row.where === HERE && row.unit === state.unit && row.final !== "" && Number(row.final) < state.believed.near_zero))
    .map((each) => each.name)
    .filter((name) => !state.stopped.includes(name));
  return {
    ...state,
    stopped: [...state.stopped, ...dead],
    stop: state.stop.length || !dead.length ? state.stop : [`As typed on this phone: cylinder ${dead.join(", ")} at or near zero.`, ...state.sentences.near_zero],
    cylinders,
    drifts: drifts.filter((row) => !row.goes),
    next: state.order.find((name) => !pulled(name)) ?? null,
    unread: state.order.filter((name) => !pulled(name)),
    drift: read.length > 1 && drifts.every((row) => row.goes) ? (firstRead ?? read[0]) : null,
    finishing,
    here: items.filter((item) => item.what === "pull").length,
  };
}

function rowOf(item, entry, where) {
  const { body } = item;
  return {
    entry,
    key: item.body.key,
    kind: body.kind ?? "dry",
    cylinder: body.cylinder,
    first: body.first ?? "",
    final: body.final ?? "",
    unit: body.unit,
    spoiled: body.spoiled === true,
    drift: body.drift === true,
    repeat: body.repeat ? 2 : null,
    strokes: body.strokes || null,
    oil: body.oil ?? "",
    note: body.note ?? "",
    who: "",
    device: "this phone",
    at: body.at ?? "",
    corrected: false,
    where,
    goes: false,
  };
}

// The neighbour of a cylinder in the order of pulling; stops at both ends.
export function neighbour(order, name, step) {
  const at = order.indexOf(name);
  return at < 0 ? (order[0] ?? null) : (order[at + step] ?? null);
}

// What this phone can tell without the server: a figure that such an engine does not show, in the unit of the test.
export function doubt(state, body) {
  const final = Number(body.final);
  if (body.final === "" || body.unit !== state.unit || !Number.isFinite(final)) return "";
  const { low, high, largest, says, says_largest: saysLargest } = state.believed;
  if (final > largest || Number(body.first) > largest) return saysLargest;
  const alone = body.kind === "dry" && state.running.length === 0;
  return alone && !body.drift && (final < low || final > high) ? says : "";
}
