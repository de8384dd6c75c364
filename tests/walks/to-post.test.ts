import { describe, expect, it } from 'vitest';
import { saveEdit, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { missingToPost } from '../../server/walks/to-post.js';
import { openSite } from '../support/app.js';
import { layCast, walkFacts } from '../support/cast.js';

describe('what a posted walk must say', () => {
  it.each([
    [{}, []],
    [{ meetingPoint: '' }, ['meetingPoint']],
    [{ landmark: ' ' }, ['landmark']],
    [{ meetingPoint: '', landmark: '' }, ['meetingPoint', 'landmark']],
  ])('%j lacks %j', (changed, missing) => {
    expect(Object.keys(missingToPost(walkFacts(changed)))).toEqual(missing);
  });

  it('is asked wherever a walk is written: no posted walk comes to be, or stays, without', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const blank = walkFacts({ routeName: 'Weir walk', meetingPoint: '' });
    expect(() => saveNewWalk(site.services, blank, cast.ids.leader, 'posted')).toThrow('meetingPoint');
    const draft = saveNewWalk(site.services, blank, cast.ids.leader, 'draft');
    const edit = { opened: 1, by: cast.ids.leader, tell: false };
    expect(() => saveEdit(site.services, { ...edit, walkId: draft, facts: blank, post: true })).toThrow('meetingPoint');
    expect(() => saveEdit(site.services, { ...edit, walkId: cast.walkId, facts: blank, post: false })).toThrow('meetingPoint');
    expect([walkById(site.db.q, draft)?.state, walkById(site.db.q, cast.walkId)?.meetingPoint]).toEqual(['draft', 'Weir car park']);
  });
});
