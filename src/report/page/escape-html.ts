const ENTITIES: Record<string, string> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

/** Text made safe between tags and inside quoted attributes. */
export const escapeHtml = (text: string): string => text.replace(/[&<>"']/g, (sign) => ENTITIES[sign]!);
