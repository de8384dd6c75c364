import { Parser } from 'htmlparser2';
import { SaxesParser } from 'saxes';

const NAMESPACE = 'http://www.topografix.com/GPX/1/1';

interface Node {
  name: string;
  attributes: Record<string, string>;
  children: Node[];
  text: string;
}

/** A sequence of the published schema (topografix.com/GPX/1/1/gpx.xsd): its elements in their order, "*" any number of them, otherwise one at most. */
const POINT = 'ele time magvar geoidheight name cmt desc src link* sym type fix sat hdop vdop pdop ageofdgpsdata dgpsid extensions';
const SEQUENCES: Record<string, string> = {
  gpx: 'metadata wpt* rte* trk* extensions',
  metadata: 'name desc author copyright link* time keywords bounds extensions',
  wpt: POINT,
  trkpt: POINT,
  rtept: POINT,
  rte: 'name cmt desc src link* number type extensions rtept*',
  trk: 'name cmt desc src link* number type extensions trkseg*',
  trkseg: 'trkpt* extensions',
};
const ATTRIBUTES: Record<string, string[]> = {
  gpx: ['creator', 'version', 'xmlns'],
  wpt: ['lat', 'lon'],
  trkpt: ['lat', 'lon'],
  rtept: ['lat', 'lon'],
};
/** xsd:decimal has no exponent, and neither NaN nor infinity. */
const DECIMAL = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;

/** Whatever in a file breaks the rules of GPX 1.1; empty where nothing does. Well-formedness is asked of one parser, structure of another. */
export function breaches(text: string): string[] {
  const strict = new SaxesParser({ xmlns: true });
  const malformed: string[] = [];
  strict.on('error', (error) => malformed.push(error.message));
  strict.on('opentag', (tag) => tag.uri !== NAMESPACE && malformed.push(`${tag.name} is in no namespace of GPX 1.1`));
  strict.write(text).close();
  const roots = tree(text);
  if (roots.length !== 1 || roots[0]?.name !== 'gpx') return [...malformed, 'the root is not one gpx'];
  return [...malformed, ...check(roots[0])];
}

function tree(text: string): Node[] {
  const top: Node = { name: '', attributes: {}, children: [], text: '' };
  const path = [top];
  const parser = new Parser(
    {
      onopentag(name, attributes) {
        const node = { name, attributes, children: [], text: '' };
        path.at(-1)?.children.push(node);
        path.push(node);
      },
      ontext(said) {
        const node = path.at(-1);
        if (node) node.text += said;
      },
      onclosetag: () => void path.pop(),
    },
    { xmlMode: true },
  );
  parser.end(text);
  return top.children;
}

function check(node: Node): string[] {
  const { name, children, text } = node;
  const sequence = SEQUENCES[name];
  if (sequence === undefined) return children.length > 0 ? [`${name} takes no elements`] : leaf(node);
  const order = sequence.split(' ').map((step) => ({ name: step.replace('*', ''), many: step.endsWith('*') }));
  const found = [...attributes(node), ...(text.trim() === '' ? [] : [`${name} takes no text`])];
  let at = 0;
  for (const child of children) {
    const step = order.findIndex((candidate, index) => index >= at && candidate.name === child.name);
    if (step < 0) found.push(`${child.name} is out of its place in ${name}`);
    else at = order[step]?.many ? step : step + 1;
    found.push(...check(child));
  }
  return found;
}

function leaf({ name, attributes, text }: Node): string[] {
  const found = Object.keys(attributes).map((attribute) => `${attribute} is no attribute of ${name}`);
  if (name === 'ele' && !DECIMAL.test(text)) found.push(`ele is no decimal: ${text}`);
  return found;
}

function attributes({ name, attributes: given }: Node): string[] {
  const found: string[] = [];
  const takes = ATTRIBUTES[name] ?? [];
  if (Object.keys(given).sort().join() !== takes.join()) found.push(`${name} has the attributes ${Object.keys(given).join()}`);
  if (name === 'gpx' && given.version !== '1.1') found.push(`the version is ${given.version}`);
  if (takes.includes('lat')) {
    const [lat, lon] = [Number(given.lat), Number(given.lon)];
    if (!DECIMAL.test(given.lat ?? '') || lat < -90 || lat > 90) found.push(`a latitude is ${given.lat}`);
    if (!DECIMAL.test(given.lon ?? '') || lon < -180 || lon >= 180) found.push(`a longitude is ${given.lon}`);
  }
  return found;
}
