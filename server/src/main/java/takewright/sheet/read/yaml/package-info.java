/**
 * YAML text as keys and values with their lines: each key is declared once, with its type and
 * meaning, and what is wrong with its value is told with the nearest known key.
 */
package takewright.sheet.read.yaml;
