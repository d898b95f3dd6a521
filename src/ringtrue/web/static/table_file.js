// Puts the text of a file into the field that a table is typed into; where the page takes workbooks, one of those goes
// along as it is. Without script, the text is put in by hand.

const LARGEST = 200 * 1024;
const KINDS = ".csv,.tsv,.txt,.json";

// Base64 of bytes, in pieces that a call can take.
const encoded = (bytes) => {
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
};

for (const place of document.querySelectorAll("[data-table-file]")) {
  const { tableFile, workbooks, name, largest = LARGEST, kinds = KINDS } = place.dataset;
  const field = document.getElementById(tableFile);
  const workbook = workbooks && document.getElementById(workbooks);
  const named = name && document.getElementById(name);
  let earlier = named?.value;
  place.className = "field";
  const label = document.createElement("label");
  label.textContent = workbook ? "From a file, CSV or XLSX" : "From a file, CSV or JSON";
  label.htmlFor = `${field.id}-file`;
  const chooser = document.createElement("input");
  chooser.type = "file";
  chooser.id = label.htmlFor;
  chooser.accept = kinds;
  const said = document.createElement("p");
  said.className = "quiet";
  said.setAttribute("role", "status");
  if (workbook?.value) said.textContent = "The workbook that was looked at goes along; choose a file for another one.";
  place.append(label, chooser, said);
  const typed = () => {
    if (!workbook?.value || !field.value.trim()) return;
    workbook.value = "";
    said.textContent = "The table below counts, and no workbook goes along.";
  };
  field.addEventListener("input", typed);
  chooser.addEventListener("change", async () => {
    const [file] = chooser.files;
    if (!file) return;
    if (file.size > Number(largest)) {
      said.textContent = `${file.name} is too long for this page; at the PC the command line takes it.`;
      return;
    }
    const bytes = new Uint8Array(await file.arrayBuffer());
    if (workbook && file.name.toLowerCase().endsWith(".xlsx")) {
      workbook.value = encoded(bytes);
      field.value = "";
      said.textContent = `${file.name} goes along as it is.`;
    } else {
      try {
        field.value = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
      } catch {
        said.textContent = `${file.name} is no text in UTF-8. Save a spreadsheet as “CSV UTF-8” and choose that.`;
        return;
      }
      if (workbook) workbook.value = "";
      said.textContent = `${file.name} stands in the field below.`;
    }
    // A name that somebody typed stays.
    if (named && (!named.value || named.value === earlier)) named.value = earlier = file.name;
  });
}
