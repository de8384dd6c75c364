import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { messages, notices } from '../../server/db/schema/index.js';
import { feedOf, makeFeed } from '../../server/leadcalendar/store.js';
import { sendMessage } from '../../server/messages/store.js';
import { eraseAddress } from '../../server/privacy/erase.js';
import { NAME_ERASED } from '../../server/privacy/erased.js';
import { withoutWords } from '../../server/privacy/without-words.js';
import { keepSignUp } from '../../server/signups/store.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { signUpForm } from '../support/sign-up.js';

describe('running text without some words', () => {
  it.each([
    ['Ring Al, +1 202 555 0110.', ['Al', '+1 202 555 0110'], `Ring ${NAME_ERASED}, ${NAME_ERASED}.`],
    ['Also, Alma and Al', ['Al'], `Also, Alma and ${NAME_ERASED}`],
    ['MacAl and Al', ['Al'], `MacAl and ${NAME_ERASED}`],
    ["Al's hat", ['Al'], `${NAME_ERASED}'s hat`],
    ['Zoë Álvarez, Álvarezová', ['Álvarez', 'Zoë Álvarez'], `${NAME_ERASED}, Álvarezová`],
    ['A. (B) [C]* costs $&', ['A. (B) [C]*'], `${NAME_ERASED} costs $&`],
    ['Nothing here', [], 'Nothing here'],
    ['Nothing here', [''], 'Nothing here'],
  ])('%j without %j', (text, words, left) => {
    expect(withoutWords(text, words)).toBe(left);
  });

  it('holds none of them that stands alone, whatever they are', () => {
    const word = fc.string({ unit: 'grapheme', minLength: 1 }).filter((one) => one.trim() === one);
    fc.assert(
      fc.property(word, (name) => {
        expect(withoutWords(`\n${name}\n`, [name])).toBe(`\n${NAME_ERASED}\n`);
      }),
    );
  });
});

describe('erasing', () => {
  async function written() {
    const site = await openSite();
    const cast = layCast(site);
    const { services, db } = site;
    db.write((tx) => keepSignUp(tx, services, cast.walkId, signUpForm()));
    db.write((tx) => keepSignUp(tx, services, cast.walkId, signUpForm({ name: 'Bo Reed', email: 'bo@walkers.example' })));
    const text = 'Ring Lena Marsh, +1 202 555 0110. Ana Ferreira has the key; Anabel has not.';
    sendMessage(services, cast.walkId, { subject: 'Ana Ferreira asks', text }, { id: cast.ids.leader, name: 'Lena Marsh', email: '' });
    db.raw.exec(`UPDATE walk_leaders SET person_id = ${cast.ids['other leader']} WHERE part = 'leader'`);
    const held = () =>
      JSON.stringify([
        db.q.select().from(messages).all(),
        db.q
          .select({ content: notices.content })
          .from(notices)
          .all()
          .map(({ content }) => ('walk' in content ? content.walk.message : null)),
      ]);
    return { site, cast, db, services, held };
  }

  it('a writer takes their name and number out of what was written, and leaves the rest', async () => {
    const { db, services, held, cast } = await written();
    db.write((tx) => eraseAddress(tx, services, 'leader@waymeet.example', services.now()));
    expect(held()).not.toMatch(/Lena|555 0110/);
    expect(db.q.select().from(messages).all()).toMatchObject([
      {
        byPersonId: cast.ids.leader,
        fromName: NAME_ERASED,
        subject: 'Ana Ferreira asks',
        text: `Ring ${NAME_ERASED}, ${NAME_ERASED}. Ana Ferreira has the key; Anabel has not.`,
      },
    ]);
  });

  it('a walker takes their name out of what was written to everyone, in the mails to others, too', async () => {
    const { db, services, held } = await written();
    db.write((tx) => eraseAddress(tx, services, 'ana@walkers.example', services.now()));
    expect(held()).not.toContain('Ana Ferreira');
    expect(held()).toContain('Anabel has not.');
    expect(held()).toContain('Ring Lena Marsh');
  });

  it("takes a leader's calendar address away", async () => {
    const { db, services, cast } = await written();
    db.write((tx) => makeFeed(tx, services.sealer, cast.ids.leader, { salt: 'x', at: 1 }));
    db.write((tx) => eraseAddress(tx, services, 'leader@waymeet.example', services.now()));
    expect(feedOf(db.q, services.sealer, cast.ids.leader)).toBeUndefined();
  });
});
