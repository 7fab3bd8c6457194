/** Stands in a row before the cell that a fault must name. */
export const MARK = "▸";

/** A row of a table of trials with one thing wrong in it. */
export interface TrialCase {
  readonly fault: string;
  /** One row below the usual heading, with {@link MARK} in it. */
  readonly row: string;
  readonly says: RegExp;
  /** The example mends this cell and lays bare what is wrong with the next. */
  readonly half?: true;
}

export const TRIAL_CASES: readonly TrialCase[] = [
  {
    fault: "a reversed interval",
    row: "r,1,diagonal-start,corner-90,start-left,gap,widest,,▸0.1,0.05,mm,feeler,",
    says: /^Low: the interval is reversed; the low end is less than the high end; the value was “0.1 to 0.05”/,
  },
  {
    fault: "an interval without width",
    row: "r,1,diagonal-start,corner-90,start-left,gap,widest,,▸0.05,0.05,mm,feeler,",
    says: /has no width/,
  },
  {
    fault: "a value and an interval",
    row: "r,1,,cell,key-1.end-left,gap,toe,▸0.04,,0.1,mm,loupe,",
    says: /a value and an interval; .*leave one of the two empty; the value was “0.04”/,
  },
  {
    fault: "neither a value nor an interval",
    row: "r,1,,cell,key-1.end-left,gap,toe,▸,,,mm,loupe,",
    says: /has no reading/,
  },
  {
    fault: "nothing read by a feeler gauge",
    row: "r,1,,cell,key-1.end-left,gap,widest,,,▸,mm,feeler,",
    says: /has no reading/,
  },
  {
    fault: "an interval from nothing to anything",
    row: "r,1,,cell,key-1.end-left,gap,widest,,0,▸,mm,feeler,",
    says: /low end of 0 with an open high end says nothing/,
  },
  {
    fault: "a value told by a feeler gauge",
    row: "r,1,,cell,key-1.end-left,gap,widest,▸0.1,,,mm,feeler,",
    says: /feeler has leaves and tells no value/,
    half: true,
  },
  {
    fault: "an end that is no leaf",
    row: "r,1,,cell,key-1.end-left,gap,widest,,▸0.07,0.2,mm,feeler,",
    says: /no such leaf; .*nearest are 0.05 mm and 0.1 mm; the value was “0.07”/,
  },
  {
    fault: "an end above the thickest leaf",
    row: "r,1,,cell,key-1.end-left,gap,widest,,0.2,▸0.3,mm,feeler,",
    says: /thickest is 0.2 mm; leave the high end empty/,
  },
  {
    fault: "an end below the thinnest leaf",
    row: "r,1,,cell,key-1.end-left,gap,widest,,▸0.02,0.1,mm,feeler,",
    says: /thinnest is 0.05 mm; leave the low end empty/,
  },
  {
    fault: "a joint that the bench does not have",
    row: "r,1,diagonal-start,corner-90,▸start-lft,gap,widest,,0.05,0.1,mm,feeler,",
    says: /no such joint in corner-90; did you mean start-left\?/,
  },
  {
    fault: "a joint that the cell does not have",
    row: "r,1,,cell,▸hinge-5.end-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /no such joint in asanoha-square; did you mean hinge-/,
  },
  {
    fault: "a joint named the wrong way round",
    row: "r,1,,cell,▸wall-left|diagonal.start-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /did you mean diagonal.start-left\|wall-left\?/,
  },
  {
    fault: "a part of several joints",
    row: "r,1,,cell,▸wall-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /more than one joint.*diagonal.start-left\|wall-left, hinge-1.start-left\|wall-left or key-1/,
  },
  {
    fault: "a joint in words that fits two",
    row: "r,1,,cell,▸hinge-1 tip,gap,widest,,0.05,0.1,mm,feeler,",
    says: /more than one joint.*write which one: hinge-1 tip on wall-left or hinge-1 tip on diagonal/,
  },
  {
    fault: "a toe of no joint",
    row: "r,1,,cell,▸,gap,toe,0.04,,,mm,loupe,",
    says: /without a joint, at must be widest/,
  },
  {
    fault: "a bench that there is none of",
    row: "r,1,diagonal-start,▸corner90,start-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /no such bench; did you mean corner-90\? It must be corner-90, corner-45, straightedge/,
  },
  {
    fault: "a bench that does not suit the jig",
    row: "r,1,hinge-point,▸corner-90,start-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /does not suit the set-up hinge-point; the bench corner-90 takes a point cut at 45°; this jig is labelled 67.5°/,
  },
  {
    fault: "a ring that does not close",
    row: "r,1,hinge-end,▸ring,,gap,widest,,0.05,0.1,mm,feeler,",
    says: /no ring/,
  },
  {
    fault: "a gap of a piece measured alone",
    row: "r,1,diagonal-start,▸none,,gap,widest,,0.05,0.1,mm,feeler,",
    says: /cannot be read on a single piece/,
    half: true,
  },
  {
    fault: "an angle on a bench",
    row: "r,1,diagonal-start,▸corner-90,start-left,angle,,45,,,deg,angle-gauge,",
    says: /an angle is measured on the piece alone; its bench is none/,
  },
  {
    fault: "a set-up that there is none of",
    row: "r,1,▸diagonal-strt,corner-90,start-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /no such set-up in this job; did you mean diagonal-start\?/,
  },
  {
    fault: "a trial piece without its set-up",
    row: "r,1,▸,corner-90,start-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /nothing is written; a piece on the bench corner-90 was cut at one set-up/,
  },
  {
    fault: "a set-up for a whole cell",
    row: "r,1,▸diagonal-start,cell,key-1.end-left,gap,widest,,0.05,0.1,mm,feeler,",
    says: /every set-up had its share in a whole cell/,
  },
  {
    fault: "a quantity that there is none of",
    row: "r,1,,cell,key-1.end-left,▸gaps,widest,,0.05,0.1,mm,feeler,",
    says: /no such quantity; did you mean gap\?/,
  },
  {
    fault: "a place that there is none of",
    row: "r,1,,cell,key-1.end-left,gap,▸tip,0.04,,,mm,loupe,",
    says: /no such place along a joint; it must be toe, heel or widest/,
  },
  {
    fault: "a place where the instrument does not reach",
    row: "r,1,,cell,key-1.end-left,gap,▸toe,,0.05,0.1,mm,feeler,",
    says: /feeler cannot tell the gap at the toe; the job says that it reaches only widest/,
  },
  {
    fault: "a place left out that the instrument does not determine",
    row: "r,1,,cell,key-1.end-left,gap,▸,0.04,,,mm,loupe,",
    says: /nothing is written; every row names a place along a joint/,
  },
  {
    fault: "a place for an angle",
    row: "r,1,diagonal-start,none,start-left,angle,▸toe,45,,,deg,angle-gauge,",
    says: /an angle has no place along a joint/,
  },
  {
    fault: "an instrument that there is none of",
    row: "r,1,,cell,key-1.end-left,gap,toe,0.04,,,mm,▸lupe,",
    says: /no such instrument in this job; did you mean loupe\?/,
  },
  {
    fault: "an instrument that does not read this",
    row: "r,1,,none,key-1,length,,24.4,,,mm,▸angle-gauge,",
    says: /angle-gauge does not read lengths; the job says that it reads angle/,
  },
  {
    fault: "degrees for a gap",
    row: "r,1,,cell,key-1.end-left,gap,toe,0.04,,,▸deg,loupe,",
    says: /it is a unit of angle; a gap is in mm/,
  },
  {
    fault: "millimetres for an angle",
    row: "r,1,diagonal-start,none,start-left,angle,,45,,,▸mm,angle-gauge,",
    says: /it is a unit of length; an angle is in deg/,
  },
  {
    fault: "a unit that there is none of",
    row: "r,1,,cell,key-1.end-left,gap,toe,0.04,,,▸furlong,loupe,",
    says: /no such unit/,
  },
  {
    fault: "degrees in the number itself",
    row: "r,1,,cell,key-1.end-left,gap,toe,▸0.04 deg,,,mm,loupe,",
    says: /^Value: deg is a unit of angle.*the value was “0.04 deg”/,
  },
  {
    fault: "a length in inches where mm are read",
    row: "r,1,,none,key-1,length,,▸0.96,,,mm,caliper,",
    says: /^Value: it looks like inches, for it is far from 24\.47 mm, the length that key-1 should have; a length is read within 5 % or 2 mm of it; the value was “0\.96”/,
  },
  {
    fault: "a length in mm where inches are read",
    row: "r,1,,none,key-1,length,,▸24.41,,,in,caliper,",
    says: /^Value: it looks like mm, for it is far from 24\.47 mm/,
  },
  {
    fault: "a length with its decimal point in another place",
    row: "r,1,,none,key-1,length,,▸2.441,,,mm,caliper,",
    says: /^Value: it looks like cm, for it is far from/,
  },
  {
    fault: "a length with two digits swapped",
    row: "r,1,,none,key-1,length,,▸42.41,,,mm,caliper,",
    says: /^Value: it is far from 24\.47 mm, the length that key-1/,
  },
  {
    fault: "a thickness with its decimal point in another place",
    row: "r,1,,none,key-1,thickness,,▸30.1,,,mm,caliper,",
    says: /^Value: its decimal point seems to have slipped, for it is far from 3 mm, the thickness that a strip should have/,
  },
  {
    fault: "a shoulder length in inches where mm are read",
    row: "r,1,,none,hinge-1.left,shoulder,,▸1.562,,,mm,rule,",
    says: /^Value: it looks like inches, for it is far from .* mm, the shoulder length that hinge-1.left should have/,
  },
  {
    fault: "an end of an interval in another unit",
    row: "r,1,,none,key-1,thickness,,,▸0.118,3.01,mm,caliper,",
    says: /^Low: it looks like inches/,
  },
  {
    fault: "an end of an interval of an angle that no jig cuts",
    row: "r,1,diagonal-start,none,start-left,angle,,,44.9,▸145,deg,angle-gauge,",
    says: /^High: it is far from 45°/,
  },
  {
    fault: "a gap as wide as a strip",
    row: "r,1,,cell,key-1.end-left,gap,toe,▸4,,,mm,loupe,",
    says: /^Value: its decimal point seems to have slipped, for it is too wide for a gap; a gap is hardly wider than the strip/,
  },
  {
    fault: "a negative length",
    row: "r,1,,none,key-1,length,,▸-24.4,,,mm,caliper,",
    says: /it is negative; it must be more than zero; the value was “-24.4”/,
  },
  {
    fault: "a thickness of zero",
    row: "r,1,,none,key-1,thickness,,▸0,,,mm,caliper,",
    says: /it is zero/,
  },
  {
    fault: "a negative gap",
    row: "r,1,,cell,key-1.end-left,gap,toe,▸-0.04,,,mm,loupe,",
    says: /it is negative; it must be zero or more/,
  },
  {
    fault: "a number that is none",
    row: "r,1,,none,key-1,length,,▸1.2.3,,,mm,caliper,",
    says: /more than one decimal mark/,
  },
  {
    fault: "an angle counted from the side of the strip",
    row: "r,1,hinge-point,none,start-left,angle,,▸22.6,,,deg,angle-gauge,",
    says: /far from 67.5°.*counted from a square cut/,
  },
  {
    fault: "a cut that the set-up does not make",
    row: "r,1,diagonal-start,none,▸end-left,angle,,45,,,deg,angle-gauge,",
    says: /diagonal-start cuts start-left and start-right/,
  },
  {
    fault: "a cut of a cell without its piece",
    row: "r,1,,none,▸start-left,angle,,45,,,deg,angle-gauge,",
    says: /named with its piece, such as hinge-1.end-left/,
  },
  {
    fault: "a piece that there is none of",
    row: "r,1,,none,▸bolt,length,,84.8,,,mm,caliper,",
    says: /no such piece; it must be diagonal, hinge-1/,
  },
  {
    fault: "a piece that the set-up does not cut",
    row: "r,1,key-end,none,▸hinge-1,length,,24.4,,,mm,caliper,",
    says: /the set-up key-end makes no cut of hinge-1; it cuts key.end/,
  },
  {
    fault: "a shoulder length of no side",
    row: "r,1,,none,▸hinge-1,shoulder,,39.7,,,mm,rule,",
    says: /no such side here; a shoulder length is of one side of a piece, from the shoulder at its start/,
    half: true,
  },
  {
    fault: "a side that the set-up does not cut",
    row: "r,1,key-end,none,▸hinge-1.left,shoulder,,39.7,,,mm,rule,",
    says: /no such side here; the set-up key-end cuts key.end/,
    half: true,
  },
  {
    fault: "a ramp of no jig",
    row: "r,1,,none,▸bevel-23,ramp,,22.7,,,deg,angle-box,",
    says: /no such jig with a set-up in this job; did you mean bevel-22\?/,
  },
  {
    fault: "a ramp of a set-up",
    row: "r,1,▸hinge-end,none,bevel-22,ramp,,22.7,,,deg,angle-box,",
    says: /a ramp is read and a set-up is named; a ramp belongs to a jig/,
  },
  {
    fault: "a ramp counted from the fence",
    row: "r,1,,none,bevel-22,ramp,,▸67.4,,,deg,angle-box,",
    says: /far from 22.5°, the angle of this ramp; .*zeroed along the fence, write 90° less what it shows/,
  },
  {
    fault: "a ramp in mm",
    row: "r,1,,none,bevel-22,ramp,,22.5,,,▸mm,angle-box,",
    says: /a ramp is in deg, arcmin/,
  },
  {
    fault: "no id",
    row: "▸,1,,none,key-1,length,,24.4,,,mm,caliper,",
    says: /^Id: nothing is written/,
  },
  {
    fault: "a trial with a sign that cannot be seen",
    row: "r,▸1\u200B,,none,key-1,length,,24.4,,,mm,caliper,",
    says: /it cannot be used.*1\\u\{200B\}/,
  },
  {
    fault: "a row that is too short",
    row: "▸r,1,,none,key-1,length,,24.4,,,mm,caliper",
    says: /has 12 entries and the table 13 columns \(id, trial, .* and note\), separated by commas/,
  },
  {
    fault: "a row that is too long",
    row: "▸r,1,,none,key-1,length,,24,4,,,mm,caliper,read, twice",
    says: /has 15 entries.*decimal comma counts as two/,
  },
];
