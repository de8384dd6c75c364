// Compiles server/ and seed/ into dist/, a file for a file; types are checked elsewhere (npm run check).
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';

function sources(folder) {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return sources(path);
    return path.endsWith('.ts') ? [path] : [];
  });
}

await build({
  entryPoints: [...sources('server'), ...sources('seed')],
  outdir: 'dist',
  outbase: '.',
  format: 'esm',
  platform: 'node',
  target: 'node20',
  sourcemap: true,
  logLevel: 'warning',
});
