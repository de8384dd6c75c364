import { describe, expect, it } from 'vitest';
import { formFields } from '../support/fields.js';
import { signUpFields } from '../support/sign-up.js';
import { opened, party } from './opened.js';

describe('the private page', () => {
  it('says what to do next when the link is cut, and when one has withdrawn', async () => {
    const { at, nobody } = await opened();
    expect((await nobody.get('/sign-ups/cut-off')).status).toBe(404);
    const { headers } = await nobody.post(at, signUpFields());
    await nobody.post(`${headers.location}/withdraw`);
    await nobody.post(`${headers.location}/withdraw`);
    const page = await nobody.get(headers.location ?? '');
    expect(page.text).toContain('Sign up again');
    expect((await nobody.post(headers.location ?? '', signUpFields())).status).toBe(409);
  });

  it('asks a new name in an old place to sign', async () => {
    const { at, nobody } = await opened();
    const { headers } = await nobody.post(at, signUpFields());
    const id = /name="members\[0\]\[id\]" value="(\d+)"/.exec((await nobody.get(headers.location ?? '')).text)?.[1] ?? '';
    const swapped = { name: 'Ana Ferreira', phone: '(202) 555-0123', 'members[0][id]': id, 'members[0][name]': 'Someone Else' };
    expect((await nobody.post(headers.location ?? '', swapped)).status).toBe(422);
  });

  it('asks once more before withdrawing, on its own address; the form of that page withdraws', async () => {
    const { at, nobody, states } = await opened();
    const { headers } = await nobody.post(at, signUpFields());
    const own = headers.location ?? '';
    expect((await nobody.get(own)).text).toContain(`<a class="button danger" href="${own}?withdraw=1">`);
    const asked = await nobody.get(`${own}?withdraw=1`);
    expect(asked.status).toBe(200);
    expect(asked.headers['cache-control']).toBe('no-store');
    expect(asked.text).toMatch(/<h1>Withdraw from [^<]+\?<\/h1>/);
    expect(asked.text).toContain(`href="${own}">Keep my place<`);
    expect(states()[0]?.state).toBe('confirmed');
    expect((await nobody.post(`${own}/withdraw`, formFields(asked.text))).status).toBe(303);
    expect(states()[0]?.state).toBe('withdrawn');
    const after = await nobody.get(`${own}?withdraw=1`);
    expect(after.text).toContain('Your place is free for others.');
    expect(after.text).not.toMatch(/gone to others|went to|Yes, withdraw/);
  });

  it('says that a party changed by its buttons is not saved, brings the browser there, and says when it is saved', async () => {
    const { at, nobody } = await opened();
    const own = (await nobody.post(at, party('a@walkers.example', 'Ann Ash', 'Abe Ash'))).headers.location ?? '';
    const standing = formFields((await nobody.get(own)).text) as Record<string, string>;
    const note = /<p class="note caution"[^>]*>(<b>)?Not saved yet: press Save the party\./;
    expect((await nobody.get(own)).text).not.toMatch(note);
    const added = await nobody.post(own, { ...standing, add: 'yes' });
    expect(added.text).toMatch(note);
    expect(added.text).toContain('<fieldset id="members-2" class="member">');
    expect(added.text.match(/<[^>]* autofocus[ >]/g)).toEqual([expect.stringContaining('id="members-2-name"')]);
    const removed = await nobody.post(own, { ...standing, removeMember: '1' });
    expect(removed.text.match(/<[^>]* autofocus[ >]/g)).toEqual([expect.stringMatching(/^<p class="note caution"/)]);
    const saved = await nobody.post(own, standing);
    expect(saved.headers.location).toBe(`${own}?saved=1`);
    expect((await nobody.get(`${own}?saved=1`)).text).toContain('<b>Saved.</b>');
  });

  it('asks only who is new to sign, however often the party is looked at before it is saved', async () => {
    const { at, nobody } = await opened();
    const own = (await nobody.post(at, signUpFields())).headers.location ?? '';
    const page = await nobody.get(own);
    expect(page.text).not.toContain('aria-label="The waiver"');
    const added = await nobody.post(own, { ...(formFields(page.text) as Record<string, string>), add: 'yes' });
    const signatures = (text: string) => [...text.matchAll(/ id="(members-\d-signature)"/g)].map((found) => found[1]);
    expect(signatures(added.text)).toEqual(['members-1-signature']);
    const two = party('ana@walkers.example', 'Ana Ferreira', 'Bea Birch');
    const typed = { ...formFields(added.text), ...two, 'members[0][signature]': '', 'members[1][signature]': 'Bob Smith' };
    const refused = await nobody.post(own, typed);
    expect(refused.status).toBe(422);
    expect(signatures(refused.text)).toEqual(['members-1-signature']);
    expect(refused.text).toContain('Type your full name as above: Bea Birch.');
    expect((await nobody.post(own, { ...typed, 'members[1][signature]': 'bea birch' })).status).toBe(303);
  });

  it('tells those who wait where they stand, and does not ask them to come', async () => {
    const { at, nobody } = await opened(2);
    await nobody.post(at, party('a@walkers.example', 'Ann Ash', 'Abe Ash'));
    const pages: string[] = [];
    for (const name of ['Bea Birch', 'Cal Cedar', 'Dee Dogwood']) {
      const answer = await nobody.post(at, party(`${name.charAt(0)}@walkers.example`, name, `${name} Junior`));
      pages.push((await nobody.get(answer.headers.location ?? '')).text);
    }
    const ahead = ['nobody is ahead of you', '1 party is ahead of you', '2 parties are ahead of you'];
    expect(pages.map((text, index) => text.includes(`waiting list: ${ahead[index]}`))).toEqual([true, true, true]);
    for (const text of pages) {
      expect(text).toContain('do not come unless a mail says you have a place');
      expect(text).not.toMatch(/Phone if you are late|Add to calendar/);
    }
    expect((await nobody.get(at)).text).toContain('3 parties are ahead of you');
  });

  it('lets no party that waits outgrow the walk', async () => {
    const { at, nobody, states } = await opened(2);
    await nobody.post(at, party('a@walkers.example', 'Ann Ash', 'Abe Ash'));
    const own = (await nobody.post(at, party('b@walkers.example', 'Bea Birch', 'Ben Birch'))).headers.location ?? '';
    const three = { ...party('b@walkers.example', 'Bea Birch', 'Ben Birch', 'Bob Birch'), ...formFields((await nobody.get(own)).text) };
    const answer = await nobody.post(own, { ...three, agreeWaiver: 'yes' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('a party of 3 can never have a place');
    expect(states()[1]?.size).toBe(2);
  });
});
