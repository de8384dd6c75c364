import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { withoutAddress } from '../../server/notices/without-address.js';
import { closeStage, DAY, HOUR, MINUTE, openStage, type Stage, saidOfMail } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

describe('the log', () => {
  it('warns of a mail that a server turns away, by number, kind and reason', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 550);
    await stage.deliver();
    const notice = stage.noticesOf(ana)[0]?.id;
    expect(saidOfMail(stage)).toMatchObject([{ msg: 'mail given up', notice, kind: 'confirmation', why: '550 as scripted' }]);
    await stage.deliver();
    expect(saidOfMail(stage)).toEqual([]);
  });

  it('warns of one whose time is over, not of the tries before', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 450);
    await stage.deliver();
    expect(saidOfMail(stage)).toEqual([]);
    stage.pass(4 * DAY);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation failed');
    expect(saidOfMail(stage)).toMatchObject([
      { msg: 'mail given up', kind: 'confirmation', why: expect.stringContaining('450 as scripted') },
    ]);
  });

  it('warns once of a server that is away, and again when it goes away again', async () => {
    stage.signUp('ana@walkers.example');
    for (let turn = 0; turn < 2; turn += 1) {
      for (let tries = 0; tries < 3; tries += 1) {
        stage.sink.script('mail', 530);
        await stage.deliver();
        stage.pass(HOUR);
      }
      expect(saidOfMail(stage).map(({ msg, code, why }) => [msg, code, why])).toEqual([
        ['the mail server can not be reached', '530', undefined],
      ]);
      await stage.deliver();
      expect(stage.sink.mails).toHaveLength(turn + 1);
      stage.signUp(`bo-${turn}@walkers.example`, 'Bo');
      stage.pass(MINUTE);
    }
  });

  it('calls it by the code of the system where nobody listens', async () => {
    stage.signUp('ana@walkers.example');
    await stage.sink.close();
    await stage.deliver();
    expect(saidOfMail(stage)).toMatchObject([{ code: 'ECONNREFUSED' }]);
  });
});

it.each([
  ['550 5.1.1 <ana@walkers.example>: no such user', '550 5.1.1 <…>: no such user'],
  ['550 no such user Ana here, see postmaster@mail.example', '550 no such user … here, see …'],
  ['550 ana=walkers.example@relay.example is not known', '550 … is not known'],
  ['550 banana split', '550 banana split'],
])('leaves addresses out of %s', (answer, said) => {
  expect(withoutAddress(answer, 'ana@walkers.example')).toBe(said);
});

it('leaves out a name with signs of its own', () => {
  expect(withoutAddress('550 "a.b+c" unknown', 'a.b+c@walkers.example')).toBe('550 "…" unknown');
});

it.each(["!#$%&'*+-/=?^_`{|}~.", 'anne-marie', 'o_brien', "o'brien", 'a/b', 'müller-ü', '[x]'])(
  'leaves out the name %s, whatever marks stand in it',
  (name) => {
    expect(withoutAddress(`550 ${name} unknown`, `${name}@walkers.example`)).toBe('550 … unknown');
  },
);

it('one whose address holds a hyphen, turned away, holds nobody else up', async () => {
  const anne = stage.signUp('anne-marie@walkers.example', 'Anne');
  const bo = stage.signUp('bo@walkers.example', 'Bo');
  stage.sink.script('rcpt', 550);
  await stage.deliver();
  expect(saidOfMail(stage)).toHaveLength(1);
  expect([stage.story(anne), stage.story(bo)]).toEqual(['confirmation failed', 'confirmation sent']);
});
