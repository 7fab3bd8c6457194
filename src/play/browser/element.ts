/** The element of the page with this id; the page is written with it. */
export function element<T extends Element = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`The page has no element “${id}”.`);
  return found as Element as T;
}
