import { PALETTE } from "../../render/style.js";

/** Style of the bench page: large enough for a thumb, dark on light for a bright shop, one column on a phone and two on a desk. */
export const SHEET_STYLE = `
:root { color-scheme: light; --ink: ${PALETTE.ink}; --quiet: ${PALETTE.quiet}; --line: ${PALETTE.grid}; --wood: ${PALETTE.woodEdge}; --field: ${PALETTE.wood}; --blue: ${PALETTE.computed}; --orange: ${PALETTE.attention}; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; scroll-padding-top: 4.6rem; }
body { margin: 0; background: ${PALETTE.paper}; color: var(--ink); font: 1.0625rem/1.45 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
.screen { max-width: 72rem; margin: 0 auto; padding: 0 1rem 3rem; }
header { display: flex; flex-wrap: wrap; gap: 0 .8rem; align-items: baseline; padding-top: .6rem; }
h1 { font-size: 1.15rem; margin: 0; }
#job { margin: 0; color: var(--quiet); overflow-wrap: anywhere; }
h2 { font-size: 1.25rem; line-height: 1.25; margin: 1.4rem 0 .4rem; overflow-wrap: anywhere; }
p, ul, ol { margin: .5rem 0; max-width: 44rem; overflow-wrap: anywhere; }
nav { position: sticky; top: 0; z-index: 1; display: grid; grid-template-columns: repeat(4, 1fr); gap: .3rem; background: ${PALETTE.paper}; padding: .5rem 0; border-bottom: 1px solid var(--line); }
nav button { padding: .3rem .1rem; }
nav button[aria-current] { background: var(--ink); color: #fff; border-color: var(--ink); }
main:focus, h2:focus { outline: none; }
button, input, select { font: inherit; color: inherit; min-height: 3rem; border: 1px solid var(--wood); border-radius: .4rem; background: #fff; padding: .4rem .9rem; max-width: 100%; }
button { cursor: pointer; }
button:hover:not(:disabled, [aria-current], [aria-pressed="true"]) { background: var(--field); }
button.primary { background: var(--blue); border-color: var(--blue); color: #fff; font-weight: 600; }
button.primary:hover:not(:disabled, [aria-current]) { background: #164a80; }
button:disabled { color: #757069; border-color: var(--line); background: #f4f1ea; cursor: default; }
:focus-visible { outline: 3px solid var(--blue); outline-offset: 2px; }
input, select { width: 100%; }
input[type="radio"] { width: 1.4rem; height: 1.4rem; min-height: 0; accent-color: var(--blue); }
label.choice { display: inline-flex; gap: .5rem; align-items: center; margin-right: 1.5rem; min-height: 3rem; }
.field { margin: .7rem 0; max-width: 34rem; }
.field > label { display: block; font-weight: 600; }
fieldset { border: 1px solid var(--line); border-radius: .4rem; margin: .6rem 0; padding: .4rem .7rem .7rem; min-width: 0; }
legend { font-weight: 600; padding: 0 .3rem; }
.hint { color: var(--quiet); margin: .2rem 0 0; font-size: 1rem; }
.fault { color: var(--orange); font-weight: 600; border-left: .35rem solid var(--orange); padding-left: .6rem; white-space: pre-line; }
[aria-invalid] { border: 2px solid var(--orange); }
.row { display: flex; flex-wrap: wrap; gap: .5rem; align-items: center; }
.go { margin-top: 1.5rem; } .go button { width: 100%; }
figure { margin: .6rem 0; } figcaption { color: var(--quiet); font-size: 1rem; }
figure > svg { display: block; max-width: 100%; height: auto; }
figure.on-jig > svg { width: 100%; max-width: 22rem; }
svg.place { width: 100%; max-width: 30rem; height: auto; border: 1px solid var(--line); border-radius: .4rem; }
.part { border: 1px solid var(--line); border-radius: .5rem; padding: 0 .9rem .6rem; margin: 1rem 0; background: #fff; }
.part > h2, .part > summary { margin-top: .8rem; }
.now { border: 2px solid var(--ink); border-radius: .5rem; padding: .6rem .9rem; margin: .8rem 0; background: #fff; }
.now h2 { margin-top: 0; } .step { color: var(--quiet); margin: 0; }
.leaves { display: grid; grid-template-columns: repeat(3, 1fr); gap: .5rem; }
.leaves legend { font-size: 1.1rem; padding-bottom: .2rem; }
.leaves button { padding: .3rem; min-height: 3.4rem; font-variant-numeric: tabular-nums; }
.leaves .wide { grid-column: 1 / -1; font-weight: 600; }
.leaves [aria-pressed="true"] { background: var(--ink); color: #fff; border-color: var(--ink); }
.leaves .likely { border: 3px solid var(--blue); font-weight: 600; }
.value { display: grid; grid-template-columns: minmax(0, 1fr) auto auto; gap: .2rem .6rem; align-items: center; }
.value label, .value .hint { grid-column: 1 / -1; font-weight: 600; } .value .hint { font-weight: 400; }
.value input { font-size: 1.3rem; }
.read { font-weight: 600; }
progress { width: 8rem; height: .8rem; accent-color: var(--blue); vertical-align: middle; }
summary { min-height: 2.6rem; padding: .5rem 0; cursor: pointer; font-weight: 600; }
.trial { border-bottom: 1px solid var(--line); }
.trial > summary { font-weight: 400; } .tally { color: var(--quiet); white-space: nowrap; }
.trial ol { list-style: none; padding: 0; }
.task { display: grid; width: 100%; text-align: left; margin: .3rem 0; gap: .1rem; overflow-wrap: anywhere; }
.task small { color: var(--quiet); font-size: .95rem; } .task b { font-weight: 600; }
.task[aria-current] { border: 2px solid var(--ink); background: var(--field); }
.busy { border: 2px solid var(--blue); border-radius: .5rem; padding: .3rem .9rem .9rem; margin: 1rem 0; background: #fff; }
.dots { display: inline-block; width: .8rem; height: .8rem; margin-right: .6rem; border-radius: 50%; background: var(--blue); }
.stale { border-left: .35rem solid var(--orange); padding-left: .8rem; }
.moves { padding-left: 1.4rem; } .moves li { margin: .8rem 0; } .moves p { margin: .1rem 0; } .moves .action { font-size: 1.15rem; }
.care { border: 2px solid var(--ink); border-radius: .4rem; padding: 0 .9rem; } .care h2 { margin-top: .6rem; font-size: 1.1rem; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; min-width: 20rem; }
th, td { text-align: left; padding: .35rem .8rem .35rem 0; border-bottom: 1px solid var(--line); vertical-align: top; font-weight: 400; } thead th { font-weight: 600; }
pre { overflow-x: auto; font: .8rem/1.4 ui-monospace, "DejaVu Sans Mono", Menlo, Consolas, monospace; background: #fff; border: 1px solid var(--line); border-radius: .4rem; padding: .6rem; }
#card { border: 1px solid var(--line); background: #fff; max-width: 160mm; overflow-x: auto; }
.hidden { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
#paper { display: none; }
@media (min-width: 60rem) {
  .bench { display: grid; grid-template-columns: minmax(0, 30rem) minmax(0, 1fr); gap: 0 2.5rem; align-items: start; }
  .bench > :first-child { position: sticky; top: 5rem; max-height: calc(100vh - 6rem); overflow-y: auto; }
  .parts { columns: 2; column-gap: 1.5rem; } .parts .part { break-inside: avoid; margin-top: 0; margin-bottom: 1rem; }
  .go button { width: auto; }
  nav { grid-template-columns: repeat(4, 10rem); }
}
@media (prefers-reduced-motion: no-preference) { .dots { animation: beat 1.2s infinite alternate; } @keyframes beat { to { opacity: .2; } } }
@media print { body { background: #fff; } .screen { display: none; } #paper { display: block; } }
`;
