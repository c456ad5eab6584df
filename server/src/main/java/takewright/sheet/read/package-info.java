/**
 * Reading a sheet: a small reader for each of its parts, each of which declares the keys it reads.
 * The schema for editors is written from the same keys.
 */
package takewright.sheet.read;
