import { expect } from "vitest";

/** No tag, attribute or address of the job's has come through as one. */
export function expectInert(html: string): void {
  const markup = html.replaceAll(/<style>[\s\S]*?<\/style>|<script[\s\S]*?<\/script>/g, "");
  const tags = markup.match(/<[a-z][^>]*>/gi) ?? [];
  expect(tags.length).toBeGreaterThan(3);
  for (const tag of tags) {
    // Quoted values are texts: what is left of a tag is its name and the names of its attributes.
    const bare = tag.replaceAll(/"[^"]*"/g, '""');
    expect(bare, tag).not.toMatch(/\son\w+=|^<(script|img|b|iframe|object|link)\b/i);
    expect(tag).not.toMatch(/(src|href|action)="?(http|javascript)/i);
  }
  expect(markup).not.toMatch(/<script>x\(\)/);
}

/** Pages let nothing in from outside. */
export function expectPolicy(html: string): void {
  const [, policy] = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(html) ?? [];
  expect(policy).toMatch(/^default-src 'none';/);
  expect(policy).not.toMatch(/http|\*|unsafe-eval|script-src[^;]*unsafe-inline/);
  expect(html.indexOf("Content-Security-Policy")).toBeLessThan(html.indexOf("<title>"));
}
