/**
 * Whether a sheet can be built: what its reader refuses, and what its files are not. Only headers
 * of recordings are read, and nothing is written.
 */
package takewright.sheet.check;
