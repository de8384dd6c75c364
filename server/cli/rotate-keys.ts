import { type Rotated, rotateKeys } from '../db/rotate.js';
import { command, counted, nothingNamed, say } from './command.js';

const NAMED_AT_MOST = 20;

command('The change of keys is not complete.', (config) => {
  nothingNamed('keys:rotate');
  report(rotateKeys(config, say));
});

function report({ mark, resealed, broken, retired, from }: Rotated): void {
  say(`Sealed again: ${counted(resealed, 'value')}. The key in use has the mark ${mark}.`);
  if (broken.length > 0) {
    const named = broken.slice(0, NAMED_AT_MOST).join(', ');
    throw new Error(
      `The old key is kept: ${counted(broken.length, 'value')} could not be opened and stayed as they were (${named}${broken.length > NAMED_AT_MOST ? ', …' : ''}). The new key is in use. Run it again when they are gone: they go with their walk's other emergency details.`,
    );
  }
  if (retired.length === 0) {
    say('No older key was in use any more.');
    return;
  }
  say(
    from === 'SEAL_KEY' ? 'The old key is retired: leave it out of SEAL_KEY now.' : 'The old key is retired and is no longer in seal.key.',
  );
  say('Backups made before open only with the old key: make a new backup now, or keep your copy of the old key as long as them.');
}
