// A build sheet that was typed and not filed, as this browser keeps it: one for each engine and revision, one for a new sheet.

const NAME = "ringtrue-sheet ";

export const draftKey = (path, revision) => `${NAME}${path} ${revision}`;

export function kept(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null; // a browser that keeps nothing
  }
}

export function keep(key, draft) {
  try {
    localStorage.setItem(key, JSON.stringify(draft));
  } catch {
    // as above
  }
}

export function throwAway(key) {
  try {
    localStorage.removeItem(key);
  } catch {
    // as above
  }
}

// The page of an engine comes after its sheet was filed: what was sent is in the book.
export function forgetSent() {
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith(NAME) && kept(key)?.sent) throwAway(key);
  } catch {
    // as above
  }
}
