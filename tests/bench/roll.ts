import { openDemo } from '../browser/demo-site.js';
import { layRoll, openRoll, tapMillis } from '../browser/roll.js';

const PEOPLE = 150;
const TAPS = 100;

/** From a tap on the roll of 150 people, off line, until it is painted: the median, in ms, with up to a frame's wait in it. */
export async function rollTapMs(): Promise<number> {
  const demo = await openDemo();
  try {
    const { page } = await openRoll(demo, 'leader', layRoll(demo, PEOPLE));
    await page.context().setOffline(true);
    return await tapMillis(page, TAPS);
  } finally {
    await demo.close();
  }
}
