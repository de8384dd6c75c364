import type { IncomingMessage } from 'node:http';
import { Busboy, type BusboyFileStream, type BusboyInstance } from '@fastify/busboy';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Typed } from './forms.js';
import { FORM_BYTES, MOST_FIELDS, parseForm } from './parse-form.js';

export const MOST_FILE_BYTES = 10 * 1024 * 1024;
/** What is read at most before the visitor is cut off: a file somewhat too large still gets its form back, with a sentence. */
const MOST_BYTES = 4 * MOST_FILE_BYTES;
/** All that was typed, as in a form without a file: it is taken apart on the event loop. */
const MOST_TYPED = FORM_BYTES;

/** A file that came with a form. */
export interface Upload {
  field: string;
  name: string;
  /** The file in the pieces it came in; null where it is larger than a file may be. */
  pieces: Buffer[] | null;
}

declare module 'fastify' {
  interface FastifyContextConfig {
    /** The route's form may bring a file. */
    takesFile?: boolean;
  }
  interface FastifyRequest {
    upload: Upload | null;
  }
}

/** Reads forms that bring a file, on the routes that say so; elsewhere such a body answers 415. Its fields become a body like any other form's. */
export function takeFiles(app: FastifyInstance): void {
  app.decorateRequest('upload', null);
  app.addContentTypeParser('multipart/form-data', (request: FastifyRequest, payload: IncomingMessage) => {
    if (request.routeOptions.config.takesFile !== true) throw Object.assign(new Error('no file is taken here'), { statusCode: 415 });
    return readForm(request, payload);
  });
}

/** Adds to a route's declaration that its form may bring a file: `app.post('/lead/walks/new', withFile(may('leader')), postNew)`. */
export function withFile<C extends object>(route: { config: C }): { config: C & { takesFile: true } } {
  return { config: { ...route.config, takesFile: true } };
}

/** Busboy's limits. A field's name or value that is cut is refused, never half kept. */
const LIMITS = {
  fieldNameSize: 200,
  fieldSize: MOST_TYPED,
  fields: MOST_FIELDS,
  fileSize: MOST_FILE_BYTES,
  files: 1,
  parts: MOST_FIELDS + 1,
  headerPairs: 20,
};

/** @throws with a statusCode where the body is too large or no form */
async function readForm(request: FastifyRequest, payload: NodeJS.ReadableStream): Promise<Typed> {
  const fields: [string, string][] = [];
  let parser: BusboyInstance | null = null;
  try {
    parser = new Busboy({ headers: { ...request.headers, 'content-type': String(request.headers['content-type']) }, limits: LIMITS });
    await parsed(payload, parser, {
      field: (name, value) => fields.push([name, value]),
      file: (upload) => {
        request.upload ??= upload;
      },
    });
  } catch (error) {
    if (parser) payload.unpipe(parser);
    // What is still coming is read and dropped, so that the answer gets through.
    payload.resume();
    throw isTooLarge(error) ? error : Object.assign(new Error('the form broke off, or is none'), { statusCode: 400, cause: error });
  }
  return parseForm(new URLSearchParams(fields).toString());
}

interface Taken {
  field: (name: string, value: string) => void;
  file: (upload: Upload) => void;
}

/** Resolves when the whole body went through the parser. */
function parsed(payload: NodeJS.ReadableStream, parser: BusboyInstance, taken: Taken): Promise<void> {
  return new Promise((resolve, reject) => {
    const refuse = () => reject(tooLarge());
    let [bytes, typed] = [0, 0];
    payload.on('data', (chunk: Buffer) => {
      bytes += chunk.length;
      if (bytes > MOST_BYTES) refuse();
    });
    payload.on('error', reject);
    payload.on('aborted', () => reject(new Error('the visitor left')));
    parser.on('field', (name, value, nameCut, valueCut) => {
      typed += name.length + value.length;
      // Busboy cuts only the names of url-encoded forms.
      if (nameCut || valueCut || name.length > LIMITS.fieldNameSize || typed > MOST_TYPED) refuse();
      else taken.field(name, value);
    });
    // A form whose file was not chosen brings an empty one without a name.
    parser.on('file', (field, stream, name) =>
      gather(stream, reject, (pieces) => {
        if (name || pieces === null || pieces.length > 0) taken.file({ field, name, pieces });
      }),
    );
    parser.on('fieldsLimit', refuse).on('filesLimit', refuse).on('partsLimit', refuse);
    parser.on('error', reject);
    parser.on('finish', () => resolve());
    payload.pipe(parser);
  });
}

/** The whole of a file, or null where it is too large. */
function gather(stream: BusboyFileStream, refuse: (error: unknown) => void, done: (pieces: Buffer[] | null) => void): void {
  const chunks: Buffer[] = [];
  stream.on('data', (chunk: Buffer) => {
    if (stream.truncated) chunks.length = 0;
    else chunks.push(chunk);
  });
  stream.on('error', refuse);
  stream.on('end', () => {
    done(stream.truncated ? null : chunks);
  });
}

function tooLarge(): Error {
  return Object.assign(new Error('the form is too large'), { statusCode: 413 });
}

function isTooLarge(error: unknown): boolean {
  return error instanceof Error && 'statusCode' in error && error.statusCode === 413;
}
