// Folded parts of a page, and what is printed of it.

import { findAll } from "./basics.js";

/** Open what is folded where a link, or the page's own address, leads into it. */
export function followAnchors() {
  addEventListener("hashchange", unfoldTarget);
  for (const link of findAll(document, 'a[href^="#"]', HTMLAnchorElement))
    link.addEventListener("click", () => unfold(document.getElementById(link.hash.slice(1))));
  unfoldTarget();
}

function unfoldTarget() {
  unfold(document.getElementById(decodeURIComponent(location.hash.slice(1))));
}

/**
 * @param {Element | null} target
 */
function unfold(target) {
  const folded = parts(target).filter((part) => !part.open);
  for (const part of folded) part.open = true;
  if (folded.length && target) target.scrollIntoView();
}

/**
 * The folded parts that an element stands in, itself among them.
 * @param {Element | null} target
 * @returns {HTMLDetailsElement[]}
 */
function parts(target) {
  const found = [];
  for (let part = target?.closest("details"); part; part = part.parentElement?.closest("details"))
    found.push(part);
  return found;
}

/**
 * Links to a part of a case lead to that of the case that is shown.
 * @param {ViewStore} store
 */
export function followCaseLinks(store) {
  const links = findAll(document, "a[data-within]", HTMLAnchorElement);
  const follow = () => {
    const shown = document.querySelector(`[data-case="${CSS.escape(store.state.caseId)}"]`);
    const number = shown?.id.replace("case-", "");
    for (const link of links) link.href = `#${link.dataset.within}-${number}`;
  };
  store.on((changed) => changed.includes("caseId") && follow());
  follow();
}

const WHOLE = "#print-all";

/** Paper gets one page, or everything where a button or the address asks for it. */
export function bindPrinting() {
  const list = document.documentElement.classList;
  const asAddressed = () => list.toggle("print-all", location.hash === WHOLE);
  for (const button of findAll(document, "button[data-print]", HTMLButtonElement))
    button.addEventListener("click", () => {
      list.toggle("print-all", button.dataset.print === "all");
      print();
    });
  addEventListener("hashchange", asAddressed);
  addEventListener("afterprint", asAddressed);
  asAddressed();
}
