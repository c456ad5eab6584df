/**
 * What a sheet asks for: a note at one dynamic in one round robin, its name, and how to select
 * some.
 */
package takewright.sheet.cell;
