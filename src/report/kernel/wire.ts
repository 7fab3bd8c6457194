import { createHmac, randomUUID, timingSafeEqual } from "node:crypto";

// The Jupyter wire protocol 5.3: [identities…, delimiter, signature, header, parent header, metadata, content].
const DELIMITER = "<IDS|MSG>";

export interface Message {
  readonly type: string;
  /** The `msg_id` of the request this answers. */
  readonly answers: string;
  readonly content: Readonly<Record<string, unknown>>;
}

const sign = (key: string, parts: readonly (string | Buffer)[]): string => {
  const hmac = createHmac("sha256", key);
  for (const part of parts) hmac.update(part);
  return hmac.digest("hex");
};

/** A signed request, ready to send, and its id. */
export function encodeRequest(key: string, session: string, type: string, content: object) {
  const id = randomUUID();
  const date = new Date().toISOString();
  const header = { msg_id: id, session, username: "runner", date, msg_type: type, version: "5.3" };
  const parts = [header, {}, {}, content].map((part) => JSON.stringify(part));
  return { id, frames: [DELIMITER, sign(key, parts), ...parts] };
}

/** @throws Error when the frames are no message of the protocol, or are not signed with the key */
export function decodeMessage(key: string, frames: readonly Buffer[]): Message {
  const start = frames.findIndex((frame) => frame.toString() === DELIMITER);
  const [signature, ...parts] = frames.slice(start + 1, start + 6);
  if (start < 0 || signature === undefined || parts.length < 4)
    throw new Error("the kernel sent something that is no Jupyter message");
  const right = Buffer.from(sign(key, parts));
  if (right.length !== signature.length || !timingSafeEqual(right, signature))
    throw new Error("a message of the kernel has a wrong signature");
  const [header, parent, , content] = parts.map((part) => JSON.parse(part.toString()));
  return { type: String(header.msg_type), answers: String(parent.msg_id ?? ""), content };
}
