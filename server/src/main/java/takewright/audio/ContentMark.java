package takewright.audio;

/** A mark within a file of some form that can be in memory as a whole. */
interface ContentMark {
  /** The content with its mark. */
  byte[] mark(byte[] content);

  /** Whether content bears a mark that fits it. */
  boolean fits(byte[] marked);
}
