package takewright.sheet.read.yaml;

/**
 * A mapping with keys of its own, or the word "no".
 *
 * @param fields the mapping; null for "no"
 */
public record SectionOrNo(Fields fields) {
  public boolean isNo() {
    return fields == null;
  }
}
