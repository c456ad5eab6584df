/** What commands print: progress, a followed session, and what went wrong in one line. */
package takewright.cli.show;
