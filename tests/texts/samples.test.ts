import { describe, expect, it } from 'vitest';
import { toHtml } from '../../server/texts/markdown.js';
import { SAMPLES } from '../../server/texts/samples.js';

function sample(kind: string): string {
  return SAMPLES.find((one) => one.kind === kind)?.body ?? '';
}

describe('the sample texts', () => {
  it('are there for every kind', () => {
    expect(SAMPLES.map(({ kind }) => kind)).toEqual(['rules', 'waiver', 'agreement', 'briefing', 'cautions']);
    for (const { body } of SAMPLES) expect(body.length).toBeGreaterThan(400);
  });

  it.each([
    ['rules', /traffic law and the insurance.* must review it/],
    ['waiver', /lawyer .* must review it/],
    ['agreement', /reviewed by someone who knows the law and the insurance/],
    ['briefing', /leader and a first-aid trainer must review it/],
    ['cautions', /doctor or a first-aid trainer must review it/],
  ])('%s says first, in bold, that it is a sample and who must review it', (kind, who) => {
    const first = sample(kind).split('\n')[0] ?? '';
    expect(first).toMatch(/^\*\*Sample text\. .*before you(r group)? uses? it\.\*\*/);
    expect(first).toMatch(who);
    expect(toHtml(first)).toMatch(/^<p><strong>Sample text\./);
  });

  it.each([
    [/phone in your hand while walking.*step aside and stand still/i],
    [/no headphones/i],
    [/two abreast at most.*single file where the way is narrow/i],
    [/obey traffic law/i],
    [/right of way of others/i],
    [/under 18 walks with a guardian/i],
    [/strollers and dogs walk at the back.*leash/i],
    [/home when you are ill/i],
    [/carry a filled water bottle/i],
    [/carry your emergency contact on you/i],
    [/tell the leader before you leave/i],
  ])('the rules cover %s', (rule) => {
    expect(sample('rules')).toMatch(rule);
  });

  it.each([
    [/keeps my name and signature, for whom I sign, the date and time, and the exact wording/],
    [/If I sign on a page, .*From where I sign.* kept for 30 days/],
    [/If I sign on paper, .*who(ever)? saw me sign/],
    [/erased, this signature stays, with the name only, for as long as the law of the place asks/],
    [/To sign on paper, I tell the leader/],
    [/I am their parent or guardian/],
  ])('the waiver says %s', (said) => {
    expect(sample('waiver')).toMatch(said);
  });

  it('the cautions come after the emergency services, local rules and medical advice', () => {
    expect(sample('cautions').split('\n')[2]).toMatch(/emergency services, the local rules, and medical advice/);
    expect(sample('cautions')).toMatch(/emergency number first/i);
    expect(sample('cautions')).toMatch(/drink to thirst/i);
    expect(sample('cautions')).toMatch(/too much plain water is dangerous/i);
  });
});
