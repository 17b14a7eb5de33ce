// What is chosen stands behind the # of the address, so that a link shares it.

const LONGEST_ADDRESS = 2000;

/**
 * What the address says, by name; a link to a part of the page says nothing.
 * @returns {URLSearchParams}
 */
export function readAddress() {
  const text = location.hash.slice(1);
  return new URLSearchParams(text.includes("=") && text.length <= LONGEST_ADDRESS ? text : "");
}

/** Milliseconds: a browser takes only so many changes of an address, and a drag makes many. */
const PAUSE = 150;

let waiting = 0;

/**
 * Write what is chosen into the address, once it stays; what is empty is left out.
 * @param {string[][]} chosen Names and texts.
 */
export function writeAddress(chosen) {
  clearTimeout(waiting);
  waiting = setTimeout(() => putAddress(chosen), PAUSE);
}

/** @param {string[][]} chosen */
function putAddress(chosen) {
  const text = new URLSearchParams(chosen.filter((pair) => pair[1])).toString();
  try {
    history.replaceState(null, "", text ? `#${text}` : location.href.split("#")[0]);
  } catch {
    // a page inside a frame without an address of its own: there is no link to share
  }
}

/**
 * Let links to parts of the page leave what the address says.
 * @param {Document} page
 */
export function keepAddress(page) {
  page.addEventListener("click", (event) => {
    const link = event.target instanceof Element ? event.target.closest("a[href^='#']") : null;
    const part = link && page.getElementById(link.getAttribute("href")?.slice(1) ?? "");
    if (!part || !location.hash.includes("=")) return;
    event.preventDefault();
    part.scrollIntoView();
    part.setAttribute("tabindex", "-1");
    part.focus({ preventScroll: true });
  });
}

/**
 * Follow an address that is changed by hand, or by a link of the same page.
 * @param {() => void} follow
 */
export function onAddress(follow) {
  addEventListener("hashchange", () => {
    if (!location.hash.includes("=")) return;
    clearTimeout(waiting);
    follow();
  });
}
