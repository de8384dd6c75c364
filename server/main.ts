import { readConfig } from './config.js';
import { serve } from './serve.js';

try {
  await serve(readConfig(process.env));
} catch (error) {
  // A setting or a data folder that can't be used: the sentence is for the operator, the stack would bury it.
  process.stderr.write(`Waymeet does not start. ${error instanceof Error ? error.message : String(error)}\n`);
  process.exit(1);
}
