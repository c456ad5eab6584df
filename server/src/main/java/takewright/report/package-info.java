/**
 * What a person looks at: the page of a built library, which opens from disk, and pictures of one
 * sample or take. It reads what the library has written and draws it; nothing below knows of it.
 */
package takewright.report;
