import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { element, html, htmlPage, markup, raw, tied } from "../../src/render/html.js";

const EVIL = `</p></style><script>alert("1")</script> ' onerror='x' & \u202E`;
const INERT =
  "&lt;/p&gt;&lt;/style&gt;&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &#39; onerror=&#39;x&#39; &amp; \\u202E";

describe("the html tag", () => {
  it("escapes text between elements and within quotes, and spells out signs that cannot be seen", () => {
    expect(String(html`<p title="${EVIL}">${EVIL}</p>`)).toBe(`<p title="${INERT}">${INERT}</p>`);
    expect(String(html`<p title='${EVIL}'></p>`)).toBe(`<p title='${INERT}'></p>`);
  });

  it("takes markup as it is, and the members of a list one after the other", () => {
    const items = ["a<b", "c"].map((text) => html`<li>${text}</li>`);
    expect(String(html`<ul>${items}</ul>${["x", 1, html`<b></b>`]}`)).toBe(
      "<ul><li>a&lt;b</li><li>c</li></ul>x1<b></b>",
    );
  });

  it("escapes markup within quotes: a page in an attribute comes back to the letter", () => {
    expect(String(html`<iframe srcdoc="${raw(`<p class="a">it's</p>`)}"></iframe>`)).toBe(
      `<iframe srcdoc="&lt;p class=&quot;a&quot;&gt;it&#39;s&lt;/p&gt;"></iframe>`,
    );
  });

  it("refuses text where escaping does not make it safe", () => {
    const link = "x onclick=alert(1)";
    expect(() => html`<a href=${link}>a</a>`).toThrow(TypeError);
    expect(() => html`<a ${link}>a</a>`).toThrow(/only markup may be interpolated/);
    expect(() => html`<script>${link}</script>`).toThrow(TypeError);
    expect(() => html`<style nonce="${"a"}">${link}</style>`).toThrow(TypeError);
    expect(() => html`<p>${link}<script>${[link]}</script>`).toThrow(TypeError);
    expect(String(html`<script>${raw("1 < 2")}</script>${"<"}`)).toBe("<script>1 < 2</script>&lt;");
  });

  it("lets no text open an element, end an attribute or begin an entity, whatever it is", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 40 }), (text) => {
        const [, attribute, between] = /^<p title="([^"]*)">([^<]*)<\/p>$/.exec(
          String(html`<p title="${text}">${text}</p>`),
        )!;
        expect(attribute).toBe(between);
        expect(attribute).not.toMatch(/[<>"']|&(?!(?:amp|lt|gt|quot|#39);)/);
      }),
      { seed: 20250101, numRuns: 300 },
    );
  });
});

it("an element's attributes are inert, its numbers rounded, and what is undefined left out", () => {
  expect(String(element("rect", { x: 1 / 3, y: -0.001, fill: undefined, "data-name": EVIL }))).toBe(
    `<rect x="0.33" y="0" data-name="${INERT}"></rect>`,
  );
  expect(String(markup(["<"], element("g", {}, "&")))).toBe("&lt;<g>&amp;</g>");
});

it("a page's title is inert and its policy stands in it to the letter", () => {
  const page = htmlPage({ title: EVIL, policy: "default-src 'none'", style: "p {}", body: html`<p></p>` });
  expect(page).toContain(`<title>${INERT}</title>`);
  expect(page).toContain(`content="default-src 'none'"`);
  expect(page.match(/<script/g)).toBeNull();
});

const shown = (text: string): string => tied(text).replaceAll("\u00A0", "~");

it.each([
  ["−0.17 mm ± 0.03 mm.", "−0.17~mm~±~0.03~mm."],
  ["0.63° ± 0.15°", "0.63°~±~0.15°"],
  ["2 3/8 in − 0.0012 in", "2~3/8~in −~0.0012~in"],
  ["U = 0.05 mm (k = 2, 95 %)", "U~=~0.05~mm (k~=~2, 95~%)"],
  ["of 10 trials in 2 rounds", "of 10 trials in 2 rounds"],
  ["over 20 inches of stock", "over 20 inches of stock"],
])("keeps figures with their units: %s", (text, wanted) => {
  expect(shown(text)).toBe(wanted);
});
