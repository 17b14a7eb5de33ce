// What every page needs: the data it carries, and paper.

/**
 * The JSON that the page carries under a name.
 * @param {string} id
 * @returns {any}
 */
export function island(id) {
  return JSON.parse(find(document, `#${id}`, HTMLScriptElement).text);
}

/**
 * The first element of a kind under a selector; a page without it is at fault.
 *
 * @template {Element} Kind
 * @param {ParentNode} root
 * @param {string} selector
 * @param {new () => Kind} kind
 * @returns {Kind}
 */
export function find(root, selector, kind) {
  const found = root.querySelector(selector);
  if (!(found instanceof kind)) throw new Error(`The page has no ${selector}.`);
  return found;
}

/**
 * All elements of a kind under a selector.
 *
 * @template {Element} Kind
 * @param {ParentNode} root
 * @param {string} selector
 * @param {new () => Kind} kind
 * @returns {Kind[]}
 */
export function findAll(root, selector, kind) {
  return [...root.querySelectorAll(selector)].flatMap((found) => (found instanceof kind ? [found] : []));
}

/** On paper nothing can be opened, so all that is folded away is open there. */
export function unfoldForPaper() {
  /** @type {HTMLDetailsElement[]} */
  const folded = [];
  addEventListener("beforeprint", () => {
    for (const part of findAll(document, "details:not([open])", HTMLDetailsElement)) {
      part.open = true;
      folded.push(part);
    }
  });
  addEventListener("afterprint", () => {
    for (const part of folded.splice(0)) part.open = false;
  });
}

/**
 * A word as a shell takes it.
 * @type {(text: string) => string}
 */
export const shellWord = (text) => (/^[\w./=:-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`);
