import type { Laid } from './laid.js';
import { markOf, type Place, placeKinds, placeNote } from './places.js';
import { type LaidRow, layRow, type RowWords } from './row.js';
import { type ShortWay, shortWayWords } from './short-ways.js';

/** A row of the strip: what it says and what it belongs to on the line. */
type SaidRow = { words: RowWords } & (
  | { kind: 'start' | 'finish' | 'place'; metres: number; mark: string }
  | { kind: 'short'; metres: number; way: ShortWay; several: boolean }
  | { kind: 'light'; metres: number; mark: 'sunset' | 'dusk' }
);

/** A row with its words laid out. */
export type Row = SaidRow & { laid: LaidRow };

/** Room for the sign before "Sunset". */
const LIGHT_INSET = 22;
/** Lines of a note; fewer on a walk of very many stops, so that its strip stays light to send. */
const NOTE_LINES = { usual: 4, manyStops: 2 } as const;
const MANY_STOPS = 20;

/** The strip's rows in the order walked. */
export function rowsOf(laid: Laid): Row[] {
  const { walk, places, shorts, settings, light } = laid;
  const several = new Set(shorts.map(({ lane }) => lane)).size > 1;
  const between: SaidRow[] = [
    ...places.along.map((place): SaidRow => placeRow(place, laid)),
    ...shorts.map((way): SaidRow => {
      const title = shortWayWords(way, walk.distanceMetres, settings.units);
      return { kind: 'short', metres: (way.leaves + way.rejoins) / 2, way, several, words: says(title) };
    }),
    ...(['sunset', 'dusk'] as const).flatMap((mark) => lightRow(mark, light[mark], laid)),
  ];
  // Sorting is stable: what stands at one place keeps this order.
  const said = [startRow(laid), ...between.sort((a, b) => a.metres - b.metres), finishRow(laid)];
  return said.map((row) => ({ ...row, laid: layRow(row.words) }));
}

/** How much height the rows take, but for the last: it may hang below the line. */
export function rowsHeight(rows: Row[]): number {
  return rows.slice(0, -1).reduce((sum, { laid }) => sum + laid.height, 0);
}

function startRow({ walk, places, clock }: Laid): SaidRow {
  const times =
    walk.gatherAt === walk.setOffAt
      ? `off ${clock.short(walk.setOffAt)}`
      : `${clock.short(walk.gatherAt)}, off ${clock.short(walk.setOffAt)}`;
  return { kind: 'start', metres: 0, mark: 'end', words: says(walk.meetingPoint, times, [walk.landmark, here(places.start)]) };
}

function finishRow({ walk, places, clock, finish, around }: Laid): SaidRow {
  const title = finishTitle(walk.meetingPoint, around.shape);
  return { kind: 'finish', metres: walk.distanceMetres, mark: 'end', words: says(title, clock.window(finish), [here(places.finish)]) };
}

/** "Weir car park again", where the walk is known to come back. */
export function finishTitle(meetingPoint: string, shape: Laid['around']['shape']): string {
  return shape === 'loop' || shape === 'out and back' ? `${meetingPoint} again` : 'Finish';
}

function placeRow(place: Place, { clock, walk }: Laid): SaidRow {
  const times = clock.window(place.window);
  const mostNotes = walk.stops.length > MANY_STOPS ? NOTE_LINES.manyStops : NOTE_LINES.usual;
  // A place with nothing to find there is known by its name.
  const named = place.kinds.length === 0 && place.name !== '';
  const words = named
    ? says(place.name, times, [placeNote({ ...place, name: '' })])
    : says(placeKinds(place.kinds), times, [placeNote(place)]);
  return { kind: 'place', metres: place.metres, mark: markOf(place), words: { ...words, mostNotes } };
}

function lightRow(mark: 'sunset' | 'dusk', metres: number | null, { around, clock }: Laid): SaidRow[] {
  const at = around[mark];
  if (metres === null || at === null) return [];
  const title = mark === 'sunset' ? 'Sunset' : 'Dusk';
  return [{ kind: 'light', metres, mark, words: { ...says(title, clock.short(at)), inset: LIGHT_INSET } }];
}

/** "Toilets, water: Lower lock": a stop at the meeting point or the finish has no mark of its own. */
function here(place: Place | null): string {
  if (!place) return '';
  const note = placeNote(place);
  return note === '' ? placeKinds(place.kinds) : `${placeKinds(place.kinds)}: ${note}`;
}

function says(title: string, times = '', notes: string[] = []): RowWords {
  return { title, times, notes: notes.filter((note) => note !== ''), mostNotes: NOTE_LINES.usual, inset: 0 };
}
