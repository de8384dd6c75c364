import { sentenceOf } from './cli/sentence.js';
import { type Config, readConfig } from './config.js';
import { serve } from './serve.js';

let config: Config | undefined;
try {
  config = readConfig(process.env);
  await serve(config);
} catch (error) {
  // A setting or a data folder that can't be used: the sentence is for the operator, the stack would bury it.
  process.stderr.write(`Waymeet does not start. ${sentenceOf(error, config?.dataDir)}\n`);
  process.exit(1);
}
