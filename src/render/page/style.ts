/** The page's only style sheet. Pages are white in every colour scheme, for charts are drawn on white. */
export const STYLE = `
:root { color-scheme: light; --ink: #1d1d1b; --quiet: #5f5e5a; --line: #d9d7d1; --field: #f6f5f2; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: #fff; color: var(--ink); font: 1.0625rem/1.6 Charter, "Bitstream Charter", Georgia, serif; }
main, footer { max-width: 46rem; margin: 0 auto; padding: 0 1.25rem; }
main { padding-top: 2.5rem; padding-bottom: 2rem; }
footer { padding-bottom: 2.5rem; color: var(--quiet); font-size: .875rem; }
h1, h2, h3, h4 { line-height: 1.25; font-weight: 600; margin: 2em 0 .5em; }
h1 { font-size: 1.75rem; margin-top: 0; }
h2 { font-size: 1.3125rem; }
h3, h4 { font-size: 1.0625rem; }
p, ul, ol, table, pre, figure, blockquote { margin: 0 0 1em; }
a { color: inherit; text-decoration-color: var(--quiet); text-underline-offset: .15em; }
blockquote { padding-left: 1rem; border-left: 3px solid var(--line); }
code, pre { font: .8125rem/1.5 ui-monospace, Menlo, Consolas, "DejaVu Sans Mono", monospace; }
p code, li code, td code { font-size: .875em; overflow-wrap: anywhere; }
pre { padding: .75rem 1rem; background: var(--field); overflow-x: auto; }
pre.stream, pre.plain { background: none; padding: 0; }
pre.stream { white-space: pre-wrap; overflow-wrap: anywhere; }
pre.complaint, pre.error { padding: .75rem 1rem; background: #fbefec; white-space: pre-wrap; overflow-wrap: anywhere; }
details.code { margin: 0 0 1em; }
details.code summary { cursor: pointer; color: var(--quiet); font-size: .8125rem; }
details.code pre { margin-top: .5rem; }
details.answer { margin: 0 0 1em; padding: .5rem 1rem; border-left: 3px solid var(--line); }
details.answer > summary { cursor: pointer; font-weight: 600; }
details.answer[open] > summary { margin-bottom: .75rem; }
/* What is wider than the page scrolls: a shadow lies at the edge beyond which there is more, and a bar stays in sight. */
.wide { overflow-x: scroll; scrollbar-width: thin; margin: 0 0 1em; background: linear-gradient(to right, #fff 1.5rem, #fff0) left / 3rem 100% no-repeat local, linear-gradient(to left, #fff 1.5rem, #fff0) right / 3rem 100% no-repeat local, linear-gradient(to right, #0004, #0000) left / .75rem 100% no-repeat scroll, linear-gradient(to left, #0004, #0000) right / .75rem 100% no-repeat scroll; }
@media (min-width: 48rem) { .wide { overflow-x: auto; } }
.wide > table { margin: 0; }
table { border-collapse: collapse; font-size: .9375rem; line-height: 1.4; font-variant-numeric: tabular-nums; }
th, td { padding: .3rem .75rem .3rem 0; border-bottom: 1px solid var(--line); text-align: left; vertical-align: top; }
th { font-weight: 600; }
th:last-child, td:last-child { padding-right: 0; }
th.number, td.number { text-align: right; white-space: nowrap; }
figure { overflow-x: auto; }
figure svg, figure img { display: block; max-width: max(100%, 32rem); height: auto; }
.pair { display: flex; flex-wrap: wrap; gap: .75rem; }
.pair > div { flex: 1 1 20rem; min-width: 0; }
.pair svg, .at-narrow svg { max-width: 100%; }
.at-narrow { display: none; }
@media (max-width: 40rem) { .at-wide { display: none; } .at-narrow { display: block; } }
main img { max-width: 100%; height: auto; }
.katex-block { overflow-x: auto; overflow-y: hidden; }
.live iframe { display: block; }
.live .still { display: none; }
@media (min-width: 64rem) { .live { overflow: visible; } .live iframe { width: min(100vw - 3rem, 76rem) !important; position: relative; left: 50%; transform: translateX(-50%); } }
.controls { margin-top: .5rem; font-size: .875rem; font-variant-numeric: tabular-nums; }
.controls label { display: flex; flex-wrap: wrap; gap: .25rem .75rem; }
.controls input { flex: 1 1 10rem; max-width: 20rem; }
@media print {
  @page { margin: 18mm; }
  body { font-size: 10.5pt; }
  main, footer { max-width: none; padding: 0; }
  h1, h2, h3, h4 { break-after: avoid; }
  figure, table, pre, blockquote { break-inside: avoid; }
  .live iframe { display: none; }
  .live .still { display: block; }
  figure, .wide, pre { overflow: visible; }
  figure svg, figure img { max-width: 100%; }
  pre { white-space: pre-wrap; }
  .at-wide { display: block; }
  .at-narrow { display: none; }
  details.code:not([open]) { display: none; }
}
`;
