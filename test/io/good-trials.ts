export const HEADING = "id,trial,set-up,bench,joint,what,at,value,low,high,unit,instrument,note";

/** A table with every kind of reading, against the full job. */
export const TRIALS = `${HEADING}
r1,d1,diagonal-start,corner-90,start-left,gap,widest,,0.05,0.1,mm,feeler,tight
r2,d1,diagonal-start,corner-90,point.start-right|reference-right,gap,heel,0.045,,,mm,loupe,
r3,d1,diagonal-start,corner-90,,gap,widest,,,0.05,mm,feeler,nothing goes in
r4,d1,diagonal-start,none,start-left,angle,,45.1,,,deg,angle-gauge,
r5,d2,hinge-end,straightedge,bevel.end-left,gap,toe,,0.05,,,shim-strips,over the thickest
r6,d2,hinge-end,none,end-right,angle,,22.35,,,,angle-gauge,
r7,c1,,cell,hinge-1.end-right,gap,widest,,0,0.05,mm,feeler,
r8,c1,,none,hinge-1.end-left,angle,,22.6,,,deg,angle-gauge,
r9,c1,,none,hinge,length,,44.108,,,mm,caliper,
r10,c1,,none,key-2,thickness,,,2.98,3.01,mm,caliper,
r11,c1,,none,hinge-2.left,shoulder,,39.7,,,mm,rule,
r12,c1,,none,hinge.right,shoulder,,39.65,,,mm,rule,of the first hinge
r13,j1,,none,bevel-22,ramp,,22.7,,,,angle-box,laid on the jig
`;

/** The table with its cells separated otherwise, and if asked with decimal commas. */
export function separated(table: string, by: string, decimalCommas = false): string {
  const numbers = decimalCommas ? table.replace(/(?<=,\d+)\.(?=\d+,)/g, "☆") : table;
  return numbers.replaceAll(",", by).replaceAll("☆", ",");
}
