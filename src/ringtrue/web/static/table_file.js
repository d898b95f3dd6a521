// Puts the text of a file into the field that a table is typed into. Without script, the text is put in by hand.

const LARGEST = 200 * 1024;

for (const place of document.querySelectorAll("[data-table-file]")) {
    const field = document.getElementById(place.dataset.tableFile);
    place.className = "field";
    const label = document.createElement("label");
    label.textContent = "From a file, CSV or JSON";
    label.htmlFor = `${field.id}-file`;
    const chooser = document.createElement("input");
    chooser.type = "file";
    chooser.id = label.htmlFor;
    chooser.accept = ".csv,.tsv,.txt,.json";
    const said = document.createElement("p");
    said.className = "quiet";
    said.setAttribute("role", "status");
    place.append(label, chooser, said);
    chooser.addEventListener("change", async () => {
        const [file] = chooser.files;
        if (!file) return;
        if (file.size > LARGEST) {
            said.textContent = `${file.name} is too long for this page; at the PC the command line takes it.`;
            return;
        }
        try {
            field.value = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
            said.textContent = `${file.name} stands in the field below.`;
        } catch {
            said.textContent = `${file.name} is no text in UTF-8. Save a spreadsheet as “CSV UTF-8” and choose that.`;
        }
    });
}
