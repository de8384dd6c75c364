import { backUp } from '../db/backup.js';
import { command, counted, fileNamed, megabytes, say } from './command.js';

command('No backup was made.', (config) => {
  const file = fileNamed('backup', '/media/disk/waymeet-2026-11-25.db');
  const made = backUp(config, file, say);
  const holds = `${counted(made.walks, 'walk')}, ${counted(made.signUps, 'sign-up')}`;
  say(`Wrote ${made.file}: ${megabytes(made.bytes)}, version ${made.version}, ${holds}. It is whole.`);
  say(`It opens with the key that has the mark ${made.mark}, which is not in it: keep a copy of the key, in another place than this file.`);
});
