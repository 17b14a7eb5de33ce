// What every page needs: the data it carries, and paper.

/** The JSON that the page carries under a name. */
export function island(id) {
  return JSON.parse(document.getElementById(id).textContent);
}

/** On paper nothing can be opened, so all that is folded away is open there. */
export function unfoldForPaper() {
  const folded = [];
  addEventListener("beforeprint", () => {
    for (const part of document.querySelectorAll("details:not([open])")) {
      part.open = true;
      folded.push(part);
    }
  });
  addEventListener("afterprint", () => {
    for (const part of folded.splice(0)) part.open = false;
  });
}
