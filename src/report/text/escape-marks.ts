const MARKS: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" };

/** The signs that mean something to HTML replaced, and nothing else: for a page inside an attribute, which must stay the same to the letter. */
export const escapeMarks = (text: string): string => text.replace(/[&<>"']/g, (mark) => MARKS[mark]!);
