import { signUps } from '../../server/db/schema/index.js';
import { saveNewWalk } from '../../server/walks/save.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';
import { signUpFields } from '../support/sign-up.js';

/** A posted walk, and the address where one signs up for it. */
export async function opened(capacity = 12) {
  const site = await openSite();
  const cast = layCast(site);
  const walkId = saveNewWalk(site.services, walkFacts({ routeName: 'Mill race', capacity }), cast.ids.leader, 'posted');
  const at = `/walks/${walkId}/sign-up`;
  const states = () => site.db.q.select({ email: signUps.email, state: signUps.state, size: signUps.partySize }).from(signUps).all();
  return { site, cast, walkId, at, states, nobody: cast.browser('nobody') };
}

/** A party as a browser posts it: each signs with their own name. */
export function party(email: string, ...names: string[]): Record<string, string> {
  const [first = 'Ana Ferreira', ...rest] = names;
  const others = rest.flatMap((name, index) =>
    Object.entries(signUpFields())
      .filter(([field]) => field.startsWith('members[0]'))
      .map(([field, value]) => [
        field.replace('[0]', `[${index + 1}]`),
        /name\]|signature/.test(field) && !field.includes('contact') ? name : value,
      ]),
  );
  return {
    ...signUpFields({ name: first, email, 'members[0][name]': first, 'members[0][signature]': first }),
    ...Object.fromEntries(others),
  };
}
