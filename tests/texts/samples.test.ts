import { describe, expect, it } from 'vitest';
import { SAMPLES } from '../../server/texts/samples.js';

function sample(kind: string): string {
  return SAMPLES.find((one) => one.kind === kind)?.body ?? '';
}

describe('the sample texts', () => {
  it('are there for every kind', () => {
    expect(SAMPLES.map(({ kind }) => kind)).toEqual(['rules', 'waiver', 'agreement', 'briefing', 'cautions']);
    for (const { body } of SAMPLES) expect(body.length).toBeGreaterThan(400);
  });

  it('the waiver says first that a lawyer must review it', () => {
    expect(sample('waiver').split('\n')[0]).toMatch(/lawyer .* must review it/);
  });

  it.each([
    [/phone in your hand.*stand still/i],
    [/headphones/i],
    [/two abreast at most.*single file/i],
    [/traffic law/i],
    [/right of way of others/i],
    [/under 18.*guardian/i],
    [/strollers and dogs walk at the back/i],
    [/short lead|leash/i],
    [/home when you are ill/i],
    [/filled water bottle/i],
    [/emergency contact on you/i],
    [/tell the leader before you leave/i],
  ])('the rules cover %s', (rule) => {
    expect(sample('rules')).toMatch(rule);
  });

  it('the cautions come after the emergency services, local rules and medical advice', () => {
    expect(sample('cautions').split('\n')[0]).toMatch(/emergency services, the local rules, and medical advice/);
    expect(sample('cautions')).toMatch(/emergency number first/i);
    expect(sample('cautions')).toMatch(/drink to thirst/i);
    expect(sample('cautions')).toMatch(/too much plain water is dangerous/i);
  });
});
