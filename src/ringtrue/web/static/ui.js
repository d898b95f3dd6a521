// What every part of a live page draws with.

import htm from "./vendor/htm.js";
import { h, render } from "./vendor/preact.js";

export { render };
export { useCallback, useEffect, useLayoutEffect, useMemo, useReducer, useRef, useState } from "./vendor/hooks.js";

export const html = htm.bind(h);

export const names = (...given) => given.filter(Boolean).join(" ");

// The hour and minute of a moment, as the phone writes them.
export const clock = (moment) => new Date(moment).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
