import { restore } from '../db/restore.js';
import { ERASED_LIST } from '../privacy/tombstones.js';
import { command, counted, fileNamed, say } from './command.js';

command('Nothing was restored.', (config) => {
  const file = fileNamed('restore', '/media/disk/waymeet-2026-11-25.db');
  const done = restore(config, file, Date.now(), say);
  const holds = `${counted(done.walks, 'walk')}, ${counted(done.signUps, 'sign-up')}`;
  say(`Restored ${file}: version ${done.version}, ${holds}. Everybody has to sign in again.`);
  if (done.erasedAgain > 0) say(`Erased again, because they were erased after the backup was made: ${done.erasedAgain}.`);
  if (done.listMissing === 'perhaps')
    say(`If anybody was erased after this backup was made: put your copy of ${ERASED_LIST} into ${config.dataDir} and restore again.`);
  else if (done.listMissing)
    say(
      `There is no ${ERASED_LIST} in ${config.dataDir}: whoever was erased after this backup was made is back. Put your copy of it there and restore again.`,
    );
  if (done.mailWaiting > 0)
    say(`Mail that waited when the backup was made goes out at the start, to some for the second time: ${done.mailWaiting}.`);
  if (done.kept) say(`What was there before is in ${done.kept}; the service deletes it after 30 days.`);
});
