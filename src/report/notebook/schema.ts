import { z } from "zod";

// The shape is nbformat 4.5 (Project Jupyter, nbformat.v4.5.schema.json), written out here by hand.

const text = z.union([z.string(), z.array(z.string())]);
const metadata = z.record(z.string(), z.unknown());
/** All but JSON is text. */
const bundle = z.record(z.string(), z.unknown()).superRefine((data, context) => {
  for (const [mime, value] of Object.entries(data))
    if (!/\bjson$/.test(mime) && !text.safeParse(value).success)
      context.addIssue({
        code: "custom",
        path: [mime],
        message: "this is neither a text nor a list of lines",
      });
});
const count = z.int().min(0).nullable();
const id = z.string().regex(/^[A-Za-z0-9_-]{1,64}$/);

const output = z.discriminatedUnion("output_type", [
  z.strictObject({ output_type: z.literal("stream"), name: z.string(), text }),
  z.strictObject({ output_type: z.literal("display_data"), data: bundle, metadata }),
  z.strictObject({
    output_type: z.literal("execute_result"),
    execution_count: count,
    data: bundle,
    metadata,
  }),
  z.strictObject({
    output_type: z.literal("error"),
    ename: z.string(),
    evalue: z.string(),
    traceback: z.array(z.string()),
  }),
]);

const attachments = z.record(z.string(), bundle).optional();

function cells(cellId: z.ZodType<string | undefined>) {
  const shared = { id: cellId, metadata, source: text };
  return z.array(
    z.discriminatedUnion("cell_type", [
      z.strictObject({
        ...shared,
        cell_type: z.literal("code"),
        outputs: z.array(output),
        execution_count: count,
      }),
      z.strictObject({ ...shared, cell_type: z.literal("markdown"), attachments }),
      z.strictObject({ ...shared, cell_type: z.literal("raw"), attachments }),
    ]),
  );
}

/** What tells the versions apart; read first, so that a wrong version is not reported as a hundred wrong cells. */
export const versionSchema = z.looseObject({ nbformat: z.literal(4), nbformat_minor: z.int().min(0).max(5) });

/** From 4.5 on every cell has an id; before, none. */
export const schemaFor = (minor: number) =>
  z.strictObject({
    nbformat: z.literal(4),
    nbformat_minor: z.literal(minor),
    metadata,
    cells: cells(minor >= 5 ? id : id.optional()),
  });
