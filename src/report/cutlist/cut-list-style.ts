/** Style of the printed cut list: black on white, on the printer's whole sheet. */
export const CUT_LIST_STYLE = (units: "mm" | "in"): string => `
:root { color-scheme: light; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: #fff; color: #000; font: 10pt/1.4 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
main { max-width: 52rem; margin: 0 auto; padding: 1.5rem 1.25rem; }
h1 { font-size: 15pt; line-height: 1.2; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 11pt; margin: 1.4em 0 .3em; break-after: avoid; }
p, ul { margin: 0; }
header { border-bottom: 2px solid #000; padding-bottom: .4em; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .22em .9em .22em 0; border-bottom: 1px solid #bbb; }
thead { display: table-header-group; }
thead th { border-bottom: 1.5px solid #000; }
tr { break-inside: avoid; }
.number { text-align: right; white-space: nowrap; }
.tick { width: 3em; }
td.tick span { display: inline-block; width: .9em; height: .9em; border: 1px solid #000; vertical-align: -.1em; }
ul { padding-left: 1.1em; }
.notes { font-size: 9pt; }
.care { border: 1.5px solid #000; margin-top: 1.4em; padding: 0 .9em .6em; break-inside: avoid; }
@page { size: ${units === "mm" ? "A4" : "letter"}; margin: 14mm; }
@media print { main { max-width: none; padding: 0; } .wide { overflow: visible; } body { font-size: 9pt; } }
@media screen and (max-width: 460px) { body { font-size: 11.5pt; } }
`;
