// Hands the PDF to whatever the phone shares with, where the browser allows it; the link to the PDF works without.

const link = document.querySelector("a[data-pdf]");
const button = document.querySelector("[data-share]");

async function pdf() {
  const answer = await fetch(link.href);
  if (!answer.ok) throw new Error(String(answer.status));
  return new File([await answer.blob()], link.dataset.pdf, { type: "application/pdf" });
}

const probe = new File([""], link.dataset.pdf, { type: "application/pdf" });
if (navigator.canShare?.({ files: [probe] })) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await navigator.share({ files: [await pdf()], title: document.title });
    } catch (error) {
      if (error.name !== "AbortError") location.assign(link.href);
    } finally {
      button.disabled = false;
    }
  });
}
