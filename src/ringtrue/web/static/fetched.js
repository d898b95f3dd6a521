// Fetches parts of a page that take a moment, so that the page itself comes at once. Without it a link leads to them.

for (const part of document.querySelectorAll("[data-fetched]")) {
  fetch(part.dataset.fetched).then(async (answer) => {
    // The server writes this part with every text escaped.
    if (answer.ok) part.innerHTML = await answer.text();
  }).catch(() => {
    // The link stays.
  });
}
