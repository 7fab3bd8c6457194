import type { YAMLError } from "yaml";

type Saying = readonly [sentence: string, example: string];

export const SECOND_DOCUMENT: Saying = [
  "A second document starts here; a job file holds one, so leave out the line with ---.",
  "a file of its own for each job",
];

/** What to say of an error of the YAML reader, by its code. */
const SAYINGS: Partial<Record<YAMLError["code"], Saying>> = {
  DUPLICATE_KEY: ["This key stands twice in its group; a key is written once.", "each key once"],
  TAB_AS_INDENT: [
    "The line starts with a tab; indent with spaces.",
    "two spaces, then point-45: { ramp: 45 deg, locked: true }",
  ],
  BLOCK_AS_IMPLICIT_KEY: [
    "The line has a second colon, or the next one is indented too far; a text with a colon is put in quotation marks, and the keys of one group start at the same column.",
    'title: "Alcove: new jigs"',
  ],
  MULTILINE_IMPLICIT_KEY: [
    "The line is not a key with its value; a colon and a space stand between the two, and the keys of one group start at the same column.",
    "opening: 60",
  ],
  BAD_INDENT: [
    "A bracket before this is not closed, or the line starts too far to the left; every { or [ needs its } or ] in the right order, and what belongs to a key stands to the right of it.",
    "shims: { base: 90, leaves: [0.1, 0.2] }",
  ],
  MISSING_CHAR: [
    "A quotation mark, a bracket, a comma or a colon is missing here or before; what is opened is closed, and members of a list have commas between them.",
    "leaves: [0.1, 0.2]",
  ],
  BAD_SCALAR_START: [
    "The text starts with a sign that has another meaning in YAML; put it in quotation marks.",
    'title: "@home"',
  ],
  BAD_DQ_ESCAPE: [
    "A backslash in a text between double quotation marks has another meaning; use single ones.",
    "title: 'C:\\jigs'",
  ],
  TAG_RESOLVE_FAILED: ["The value has a tag (!); tags are not read, so leave it out.", "opening: 60"],
};

/** What to say of an error of the YAML reader. */
export const syntaxSaying = ({ code, message }: YAMLError): Saying =>
  SAYINGS[code] ?? [
    `This cannot be read as YAML or JSON: ${message.split("\n")[0]}.`,
    "a key, a colon, a space and its value: opening: 60",
  ];

/** An alias needs its anchor before it. */
export const lostAliasSaying = (name: string): Saying => [
  `The alias *${name} has no anchor &${name} before it; a text that starts with * is put in quotation marks.`,
  `"*${name}"`,
];
