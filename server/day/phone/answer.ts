import type { Refused, RollState } from '../contract.js';

/** What came of sending. */
export type Outcome =
  | { kind: 'heard'; state: RollState; refused: Refused[] }
  | { kind: 'signed out' }
  | { kind: 'not yours' }
  /** Nothing came back, or nothing that the service itself says: another try may do. */
  | { kind: 'no signal' };

/** What an answer comes to: the service's own, or that of whatever stands before it. */
export async function readAnswer(answer: Response): Promise<Outcome> {
  // Who is not signed in is led to the sign-in page.
  if (answer.redirected && new URL(answer.url).pathname.startsWith('/sign-in')) return { kind: 'signed out' };
  // A gateway on the way says 403 and 404, too, in a page of its own: what waits here is not forgotten for that.
  if (!answer.headers.get('Content-Type')?.startsWith('application/json')) return { kind: 'no signal' };
  if (answer.status === 401) return { kind: 'signed out' };
  if (answer.status === 403 || answer.status === 404) return { kind: 'not yours' };
  // Some can't be taken; the walk is closed: either way the whole roll comes with it.
  if (answer.status === 422 || answer.status === 409)
    return { kind: 'heard', ...((await answer.json()) as { state: RollState; refused: Refused[] }) };
  if (!answer.ok) return { kind: 'no signal' };
  return { kind: 'heard', state: (await answer.json()) as RollState, refused: [] };
}
