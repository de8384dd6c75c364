import { backUp } from '../db/backup.js';
import { END_NOTE } from './chain-words.js';
import { command, counted, fileNamed, megabytes, say } from './command.js';

command('No backup was made.', (config) => {
  const file = fileNamed('backup', '/media/disk/waymeet-2026-11-25.db');
  const made = backUp(config, file, say);
  const holds = `${counted(made.walks, 'walk')}, ${counted(made.signUps, 'sign-up')}`;
  say(`Wrote ${made.file}: ${megabytes(made.bytes)}, version ${made.version}, ${holds}. It is whole.`);
  const [keys, are] = made.marks.length > 1 ? ['the keys that have the marks', 'which are'] : ['the key that has the mark', 'which is'];
  const place = 'keep a copy of seal.key (or SEAL_KEY), and of erased.list beside it, in another place than this file';
  say(`It opens with ${keys} ${made.marks.join(' and ')}, ${are} not in it: ${place}.`);
  if (made.signatures && made.signatures.hash !== '') {
    say(`It holds ${counted(made.signatures.count, 'signature')}; the last has the hash ${made.signatures.hash}.`);
    say(END_NOTE);
  }
});
