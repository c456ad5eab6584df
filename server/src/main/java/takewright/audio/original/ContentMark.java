package takewright.audio.original;

/** A mark within a file of a format that fits into memory. */
interface ContentMark {
  /** The content with its mark. */
  byte[] mark(byte[] content);

  /** Whether content has a mark that fits it. */
  boolean fits(byte[] marked);
}
