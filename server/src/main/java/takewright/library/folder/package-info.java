/** The output folder: its samples, tables and journal, and the lock that keeps two builds apart. */
package takewright.library.folder;
