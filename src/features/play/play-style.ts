/** The style sheet of the page to play with: one column on a phone, the drawing staying in sight while the sliders move; two from 60 rem on. */
export const PLAY_STYLE = `
:root { color-scheme: light; --ink: #2a2724; --quiet: #5f5850; --line: #cfc7b8; --field: #f6f2ea; --wood: #85735a; --blue: #1d5c9e; --orange: #a83d08; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: #fff; color: var(--ink); font: 1rem/1.5 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
header, main, footer { max-width: 76rem; margin: 0 auto; padding: 0 .9rem; }
header { padding-top: 1.1rem; }
h1 { font-size: 1.5rem; line-height: 1.2; margin: 0 0 .4rem; }
h2 { font-size: 1.1rem; margin: 1.4rem 0 .5rem; }
p { margin: 0 0 .7rem; max-width: 46rem; }
.quiet { color: var(--quiet); font-size: .9rem; }
.hidden { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
#look { position: sticky; top: 0; z-index: 1; background: #fff; padding: .3rem 0 .5rem; border-bottom: 1px solid var(--line); }
figure { margin: 0; }
#cell, #cell-b { display: block; width: 100%; height: auto; max-height: 35vh; margin: 0 auto; }
.stale { opacity: .4; }
figcaption { display: flex; flex-wrap: wrap; justify-content: space-between; gap: 0 1rem; font-size: .85rem; color: var(--quiet); }
#verdict, #verdict-b { margin: .3rem 0 0; font-weight: 600; font-size: .9rem; line-height: 1.35; border-left: .35rem solid var(--line); padding-left: .5rem; min-height: 4.1em; max-width: none; }
#verdict.good, #verdict-b.good { border-left-color: var(--blue); }
#verdict.poor, #verdict-b.poor { border-left: .35rem double var(--orange); }
.legend { list-style: none; display: flex; flex-wrap: wrap; gap: .2rem 1.1rem; margin: .6rem 0; padding: 0; font-size: .85rem; }
.legend svg { width: 2rem; height: 1rem; vertical-align: -.15rem; margin-right: .35rem; }
fieldset { border: 1px solid var(--line); border-radius: .4rem; margin: 0 0 .9rem; padding: .3rem .8rem .8rem; min-width: 0; }
legend { font-weight: 600; padding: 0 .3rem; }
.slider { display: grid; grid-template-columns: 1fr auto auto; gap: 0 .6rem; align-items: center; margin-top: .55rem; }
.slider label { font-size: .95rem; }
.slider .size { font: inherit; font-variant-numeric: tabular-nums; width: 6.5rem; min-height: 2rem; padding: 0 .4rem; text-align: right; color: inherit; border: 1px solid var(--wood); border-radius: .3rem; background: #fff; }
.ends { grid-column: 1 / 4; display: flex; justify-content: space-between; gap: 1rem; font-size: .85rem; color: var(--quiet); margin-top: -.3rem; }
.fault { grid-column: 1 / 4; color: var(--orange); font-size: .9rem; margin: 0; }
.fault:empty, #standing:empty { display: none; }
#link { flex: 1 1 10rem; min-width: 0; font: inherit; font-size: .85rem; min-height: 2.5rem; padding: 0 .5rem; border: 1px solid var(--line); border-radius: .4rem; color: var(--quiet); background: #fff; }
#pictures { display: flex; gap: .5rem; justify-content: center; }
#pictures svg { flex: 1 1 0; min-width: 0; border: 2px solid transparent; border-radius: .3rem; }
#pictures.two svg.moves { border-color: var(--blue); }
#standing { font-weight: 600; margin: .3rem 0 0; }
#standing.won { color: var(--blue); }
button[aria-pressed="true"], button[aria-pressed="true"]:hover { background: var(--ink); color: #fff; box-shadow: none; transform: translateY(2px); }
fieldset:disabled { opacity: .55; }
#which { display: inline-flex; flex-wrap: wrap; align-items: center; gap: .2rem .6rem; }
[hidden] { display: none !important; }
.slider input[type="range"] { grid-column: 1 / 4; appearance: none; width: 100%; height: 2.2rem; margin: 0; background: linear-gradient(var(--wood), var(--wood)) center / 2px 1rem no-repeat, linear-gradient(var(--line), var(--line)) center / 100% 5px no-repeat; border-radius: .4rem; }
.slider input::-webkit-slider-thumb { appearance: none; width: 1.5rem; height: 1.5rem; border-radius: 50%; border: 2px solid #fff; background: var(--wood); box-shadow: 0 0 0 1px var(--wood); }
.slider input::-moz-range-thumb { width: 1.25rem; height: 1.25rem; border-radius: 50%; border: 2px solid #fff; background: var(--wood); box-shadow: 0 0 0 1px var(--wood); }
button, select { font: inherit; color: inherit; min-height: 2.5rem; padding: .3rem .8rem; border: 1px solid var(--wood); border-radius: .4rem; background: #fff; max-width: 100%; }
button { background: var(--field); font-weight: 600; cursor: pointer; box-shadow: 0 2px 0 var(--wood); }
button:hover { background: #ece4d5; }
button:active { transform: translateY(2px); box-shadow: none; }
button.primary { background: var(--ink); color: #fff; border-color: var(--ink); }
.slider button { min-height: 2rem; min-width: 2.5rem; padding: 0 .5rem; }
:focus-visible { outline: 3px solid var(--blue); outline-offset: 2px; }
.row { display: flex; flex-wrap: wrap; gap: .5rem .8rem; align-items: center; margin-bottom: .6rem; }
.row label { display: inline-flex; flex-wrap: wrap; gap: .1rem .5rem; align-items: center; max-width: 100%; }
select { min-width: 0; text-overflow: ellipsis; }
input[type="radio"] { width: 1.2rem; height: 1.2rem; margin: 0; accent-color: var(--wood); }
table { border-collapse: collapse; width: 100%; max-width: 48rem; font-size: .9rem; font-variant-numeric: tabular-nums; }
caption { text-align: left; font-weight: 600; padding-bottom: .3rem; }
th, td { padding: .3rem .5rem .3rem 0; border-bottom: 1px solid var(--line); text-align: right; vertical-align: top; }
th:first-child { text-align: left; font-weight: 400; overflow-wrap: anywhere; }
thead th { font-weight: 600; }
td.wide, td.open { color: var(--orange); } td.wide { font-weight: 700;}
td.pressed { color: var(--blue); font-weight: 700; }
footer { border-top: 1px solid var(--line); margin-top: 1.5rem; padding-top: .8rem; padding-bottom: 2rem; }
footer li { margin-bottom: .3rem; }
/* What has the focus is not hidden behind the drawing that stays in sight. */
@media (max-width: 59.99rem) { html { scroll-padding: calc(35vh + 8rem) 0 1rem; } }
@media (min-width: 60rem) {
  #bench { display: grid; grid-template-columns: minmax(0, 34rem) minmax(0, 1fr); gap: 0 2rem; align-items: start; }
  #look { border-bottom: 0; }
  #cell, #cell-b { max-height: 66vh; }
  h1 { font-size: 1.9rem; }
}
@media (prefers-reduced-motion: no-preference) { button { transition: background .15s; } }
@media print {
  @page { margin: 14mm; }
  body { font-size: 10pt; }
  .screen { display: none !important; }
  #look { position: static; border: 0; }
  #cell, #cell-b { max-height: 120mm; }
  .slider input[type="range"], .slider button, .ends, .fault { display: none; }
  .slider .size { border: 0; }
  .slider { display: flex; justify-content: space-between; margin-top: .1rem; }
  #controls { columns: 2; } fieldset { break-inside: avoid; }
  #bench { display: block; }
  table { font-size: 8.5pt; } tr { break-inside: avoid; }
}
`;
