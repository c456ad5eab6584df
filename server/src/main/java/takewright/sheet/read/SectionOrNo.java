package takewright.sheet.read;

/**
 * A mapping with keys of its own, or the word "no".
 *
 * @param fields the mapping; null for "no"
 */
record SectionOrNo(Fields fields) {
  boolean isNo() {
    return fields == null;
  }
}
