import { readdirSync } from "node:fs";
import { join } from "node:path";

// Files below a folder whose name fits, sorted.
export function globSync(folder, pattern) {
  return readdirSync(folder, { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile() && pattern.test(entry.name))
    .map((entry) => join(entry.parentPath ?? entry.path, entry.name))
    .sort();
}
