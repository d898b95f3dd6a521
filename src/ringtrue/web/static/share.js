// Hands the PDF to whatever the phone shares with, where the browser allows it; the button of the PDF works without.

const made = document.querySelector("button[data-pdf]");
const button = document.querySelector("[data-share]");
const address = () => `${made.formAction}?${new URLSearchParams(new FormData(made.form))}`;

async function pdf() {
  const answer = await fetch(address());
  if (!answer.ok) throw new Error(String(answer.status));
  return new File([await answer.blob()], made.dataset.pdf, { type: "application/pdf" });
}

const probe = new File([""], made.dataset.pdf, { type: "application/pdf" });
if (navigator.canShare?.({ files: [probe] })) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await navigator.share({ files: [await pdf()], title: document.title });
    } catch (error) {
      if (error.name !== "AbortError") location.assign(address());
    } finally {
      button.disabled = false;
    }
  });
}
