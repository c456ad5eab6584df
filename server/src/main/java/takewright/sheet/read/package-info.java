/**
 * Reading a sheet: a small reader for each of its parts, each of which declares the keys it reads,
 * and everything that may be wrong with it. The schema for editors is written from the same keys.
 */
package takewright.sheet.read;
