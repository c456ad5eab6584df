package takewright.name;

/**
 * How a library names its files.
 *
 * @param pattern what stands where in a name
 * @param noteNames how notes are spelt
 */
public record NamingStyle(NamePattern pattern, NoteNames noteNames) {
  /** "Larkfell_sustain_close_C#4_mf_rr1". */
  public static final NamingStyle DEFAULTS =
      new NamingStyle(NamePattern.DEFAULT, NoteNames.DEFAULTS);
}
