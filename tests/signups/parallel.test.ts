import { expect, it } from 'vitest';
import { signUps } from '../../server/db/schema/index.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { signUpFields } from '../support/sign-up.js';

it('60 parallel sign-ups for 12 places on the running server: 12 confirmed, 48 waiting in order, none lost', async () => {
  const site = await openSite();
  const cast = layCast(site);
  const walkId = saveNewWalk(site.services, walkFacts({ routeName: 'Mill race', capacity: 12 }), cast.ids.leader, 'posted');
  const url = await site.app.listen({ port: 0, host: '127.0.0.1' });
  const post = async (index: number) => {
    const name = `Walker Number${index}`;
    const fields = signUpFields({
      name,
      email: `walker-${index}@walkers.example`,
      'members[0][name]': name,
      'members[0][signature]': name,
    });
    const answer = await fetch(`${url}/walks/${walkId}/sign-up`, {
      method: 'POST',
      headers: { 'sec-fetch-site': 'same-origin' },
      body: new URLSearchParams(fields),
      redirect: 'manual',
    });
    const page = await fetch(url + (answer.headers.get('location') ?? ''));
    return { status: answer.status, text: await page.text() };
  };
  const answers = await Promise.all(Array.from({ length: 60 }, (_, index) => post(index)));
  expect(answers.map((answer) => answer.status)).toEqual(Array.from({ length: 60 }, () => 303));
  const rows = site.db.q.select({ id: signUps.id, state: signUps.state }).from(signUps).all();
  expect(rows.map((row) => row.state)).toEqual([
    ...Array.from({ length: 12 }, () => 'confirmed'),
    ...Array.from({ length: 48 }, () => 'waiting'),
  ]);
  const ahead = answers.flatMap((answer) => /waiting list: (nobody|\d+) part|waiting list: nobody/.exec(answer.text)?.slice(1) ?? []);
  const places = ahead.map((word) => (word === undefined || word === 'nobody' ? 0 : Number(word))).sort((a, b) => a - b);
  expect(places).toEqual(Array.from({ length: 48 }, (_, index) => index));
});
