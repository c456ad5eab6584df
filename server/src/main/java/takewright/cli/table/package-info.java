/**
 * The tables that commands print, as CSV or as JSON: each column is declared once, with its value.
 */
package takewright.cli.table;
