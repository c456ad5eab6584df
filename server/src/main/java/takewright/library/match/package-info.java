/** Which region fills which cell, by what was heard, the sheet's order and a person's decisions. */
package takewright.library.match;
