import { describe, expect, it } from 'vitest';
import { readAnswer } from '../../server/day/phone/answer.js';
import { layDay } from '../support/roll.js';

const page = (status: number) => new Response('<!doctype html>', { status, headers: { 'Content-Type': 'text/html' } });
const said = (status: number) => Response.json({ sentence: 'No.' }, { status });

const kindOf = async (answer: Response) => (await readAnswer(answer)).kind;

describe('what a phone takes for an answer', () => {
  it('that the roll is not theirs, or that they are signed out, only from the service itself: what waits would be forgotten', async () => {
    for (const status of [401, 403, 404, 500, 502]) expect(await kindOf(page(status)), String(status)).toBe('no signal');
    expect([await kindOf(said(403)), await kindOf(said(404)), await kindOf(said(401))]).toEqual(['not yours', 'not yours', 'signed out']);
  });

  it('is what the service says to a script, asking and sending alike', async () => {
    const { cast, path } = await layDay();
    const stranger = cast.browser('other leader');
    const refused = await stranger.getJson(path);
    expect([refused.status, refused.body.sentence]).toEqual([403, expect.any(String)]);
    const none = await stranger.getJson('/lead/walks/999/roll');
    expect([none.status, none.body.sentence]).toEqual([404, expect.any(String)]);
    const out = await cast.browser('nobody').getJson(path);
    expect([out.status, out.body.sentence]).toEqual([401, expect.any(String)]);
    expect((await stranger.get(path)).headers['content-type']).toContain('text/html');
  });
});
