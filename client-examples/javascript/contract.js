// Puts the contract into the package before it is packed: a copy of proto/, and types generated from it.
import { execFileSync } from 'node:child_process';
import fs from 'node:fs';
import { fileURLToPath } from 'node:url';

const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const contract = here('../../proto');
if (fs.existsSync(contract)) {
  const files = fs.readdirSync(`${contract}/takewright/v1`).filter((name) => name.endsWith('.proto'));
  fs.rmSync(here('proto'), { recursive: true, force: true });
  fs.rmSync(here('types'), { recursive: true, force: true });
  fs.mkdirSync(here('proto/takewright/v1'), { recursive: true });
  for (const name of files) {
    fs.copyFileSync(`${contract}/takewright/v1/${name}`, here(`proto/takewright/v1/${name}`));
  }
  execFileSync(process.execPath, [
    here('node_modules/@grpc/proto-loader/build/bin/proto-loader-gen-types.js'),
    '--keepCase', '--defaults', '--longs=Number', '--enums=String', '--oneofs', '--grpcLib=@grpc/grpc-js', '--targetFileExtension=.d.ts', '--importFileExtension=.js',
    `--includeDirs=${here('proto')}`, `--outDir=${here('types')}`,
    ...files.map((name) => `takewright/v1/${name}`),
  ], { stdio: ['ignore', 'ignore', 'inherit'] });
  // The generator writes constants for a compiler; what is packed declares them.
  for (const name of fs.readdirSync(here('types/takewright/v1'))) {
    const file = here(`types/takewright/v1/${name}`);
    const text = fs.readFileSync(file, 'utf8');
    fs.writeFileSync(file, text.replace(/^export const (\w+) = \{/gm, 'export declare const $1: {').replace(/^\} as const;/gm, '};'));
  }
}
