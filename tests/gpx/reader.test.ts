import { afterEach, describe, expect, it } from 'vitest';
import { measure } from '../../server/gpx/measure.js';
import { type ReaderLimits, type RouteReader, routeReader } from '../../server/gpx/reader.js';
import { roundGpx } from '../support/gpx-file.js';
import { gpx, readable, track, winding } from './files.js';

const open: RouteReader[] = [];
const reader = (set: Partial<ReaderLimits> = {}) => {
  const made = routeReader(set);
  open.push(made);
  return made;
};
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});

describe('reading off the event loop', () => {
  it('gives what reading in place gives', async () => {
    const { route } = (await reader().read(roundGpx())) as { route: ReturnType<typeof measure> };
    const here = measure(readable(roundGpx().toString()));
    expect({ ...route, gpx: Buffer.from(route.gpx) }).toEqual({ ...here, gpx: Buffer.from(here.gpx) });
  });

  it('gives the sentence, and leaves small buffers, which share their memory, alone', async () => {
    const small = Buffer.from('{}');
    expect(await reader().read(small)).toEqual({ fault: expect.stringMatching(/no GPX file/) });
    expect(small.toString()).toBe('{}');
  });

  it('refuses a way that has points and no length', async () => {
    const pole = gpx(
      track([
        [90, 0],
        [90, 10],
        [90, 20],
      ]),
    );
    expect(await reader().read(Buffer.from(pole))).toEqual({ fault: expect.stringMatching(/make no way/) });
  });

  it('reads two at once, lets eight wait and asks the others to come back', async () => {
    const one = reader();
    const answers = Array.from({ length: 11 }, () => one.read(roundGpx()));
    expect(await answers[10]).toEqual({ fault: 'Several files are being read just now. Please try again in a moment.' });
    await one.close();
    const stopping = { fault: expect.stringMatching(/being restarted/) };
    expect(await Promise.all(answers.slice(0, 10))).toEqual(Array(10).fill(stopping));
  });

  it('reads those that wait in their turn', async () => {
    const one = reader({ atOnce: 1, mostWaiting: 2 });
    const done: number[] = [];
    await Promise.all(
      [0, 1, 2].map(async (index) => expect(await one.read(roundGpx()).finally(() => done.push(index))).toHaveProperty('route')),
    );
    expect(done).toEqual([0, 1, 2]);
  });

  it('gives up after its time, and reads the next', async () => {
    const one = reader({ limitMs: 1, atOnce: 1 });
    const both = await Promise.all([one.read(roundGpx()), one.read(roundGpx())]);
    expect(both).toEqual(Array(2).fill({ fault: 'This file takes too long to read. Export the route with fewer points, as GPX 1.1.' }));
  });

  it('gives a sentence where the memory does not do, and tells the log', async () => {
    const broken: unknown[] = [];
    const one = reader({ heapMb: 12, onBreak: (error) => broken.push(error) });
    expect(await one.read(Buffer.from(winding(60_000)))).toEqual({
      fault: expect.stringMatching(/could not be read\. Export the route with fewer points/),
    });
    expect(broken).toEqual([expect.objectContaining({ message: 'the process that read a route ended with SIGABRT' })]);
  }, 30_000);

  it('tells everyone when it is closed', async () => {
    const one = reader({ atOnce: 1 });
    const reading = [one.read(roundGpx()), one.read(roundGpx())];
    await one.close();
    const stopping = { fault: 'Waymeet is being restarted. Please try again in a moment.' };
    expect(await Promise.all([...reading, one.read(roundGpx())])).toEqual([stopping, stopping, stopping]);
  });

  it('reads 50,000 points in a few seconds while the event loop goes on', async () => {
    const bytes = Buffer.from(winding(50_000));
    const ticks: number[] = [];
    let last = performance.now();
    const ticking = setInterval(() => {
      ticks.push(performance.now() - last);
      last = performance.now();
    }, 5);
    const began = performance.now();
    const result = await reader().read(bytes);
    const took = performance.now() - began;
    clearInterval(ticking);
    process.stdout.write(`50,000 points: ${Math.round(took)} ms, the loop held up for ${Math.round(Math.max(...ticks))} ms at most\n`);
    expect(result).toMatchObject({ route: { pointCount: 50_000 } });
    expect(took).toBeLessThan(10_000);
    expect(Math.max(...ticks)).toBeLessThan(1000);
  }, 30_000);
});
