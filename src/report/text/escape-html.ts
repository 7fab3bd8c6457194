const MARKS: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" };

/** Text made inert inside HTML, also within an attribute's quotes. */
export const escapeHtml = (text: string): string => text.replace(/[&<>"']/g, (mark) => MARKS[mark]!);
