/** Text as Jupyter stores it: one string, or its lines with their line ends kept. */
export type MultilineText = string | string[];

/** One result in several forms, keyed by MIME type. */
export type MimeBundle = Record<string, unknown>;

export type Metadata = Record<string, unknown>;

export interface StreamOutput {
  output_type: "stream";
  name: string;
  text: MultilineText;
}

export interface DisplayOutput {
  output_type: "display_data";
  data: MimeBundle;
  metadata: Metadata;
}

export interface ResultOutput {
  output_type: "execute_result";
  execution_count: number | null;
  data: MimeBundle;
  metadata: Metadata;
}

export interface ErrorOutput {
  output_type: "error";
  ename: string;
  evalue: string;
  traceback: string[];
}

export type Output = StreamOutput | DisplayOutput | ResultOutput | ErrorOutput;

export interface CodeCell {
  cell_type: "code";
  id: string;
  metadata: Metadata;
  source: MultilineText;
  outputs: Output[];
  execution_count: number | null;
}

interface TextCell {
  id: string;
  metadata: Metadata;
  source: MultilineText;
  attachments?: Record<string, MimeBundle> | undefined;
}

export interface MarkdownCell extends TextCell {
  cell_type: "markdown";
}

export interface RawCell extends TextCell {
  cell_type: "raw";
}

export type Cell = CodeCell | MarkdownCell | RawCell;

/** A notebook of nbformat 4.5. */
export interface Notebook {
  nbformat: 4;
  nbformat_minor: 5;
  metadata: Metadata;
  cells: Cell[];
}
