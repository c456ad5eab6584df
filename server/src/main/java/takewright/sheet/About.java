package takewright.sheet;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.stream.Collectors;
import takewright.audio.RiffInfo;

/**
 * What a musician, or the next program, wants to know of a library beyond its notes. Whatever is
 * null was not given, and is written nowhere.
 *
 * @param player who played
 * @param instrument what was played
 * @param room where
 * @param microphones by what it was recorded
 * @param licence what may be done with the files
 * @param credit how to name those who made them
 */
public record About(
    String player,
    String instrument,
    String room,
    String microphones,
    String licence,
    String credit) {
  public static final About NOTHING = new About(null, null, null, null, null, null);

  /** All that was given, by the names that a person reads, in the order of the sheet's keys. */
  public Map<String, String> lines() {
    Map<String, String> lines = new LinkedHashMap<>();
    put(lines, "Player", player);
    put(lines, "Instrument", instrument);
    put(lines, "Room", room);
    put(lines, "Microphones", microphones);
    put(lines, "Licence", licence);
    put(lines, "Credit", credit);
    return lines;
  }

  /**
   * The same as texts of RIFF files: artist, subject and copyright; for a room, microphones and
   * credit the standard has no chunk, so they are in the comment.
   */
  public RiffInfo info() {
    Map<String, String> texts = new LinkedHashMap<>();
    put(texts, RiffInfo.ARTIST, player);
    put(texts, RiffInfo.SUBJECT, instrument);
    put(texts, RiffInfo.COPYRIGHT, licence);
    Map<String, String> comment = lines();
    comment.keySet().removeIf(name -> !COMMENTED.contains(name));
    put(texts, RiffInfo.COMMENT, comment.isEmpty() ? null : sentence(comment));
    return new RiffInfo(texts);
  }

  private static final java.util.Set<String> COMMENTED =
      java.util.Set.of("Room", "Microphones", "Credit");

  /** All that was given in one line, empty if nothing was. */
  public String sentence() {
    return sentence(lines());
  }

  private static String sentence(Map<String, String> lines) {
    return lines.entrySet().stream()
        .map(line -> line.getKey() + ": " + line.getValue())
        .collect(Collectors.joining("; "));
  }

  private static void put(Map<String, String> to, String name, String text) {
    if (text != null) {
      to.put(name, text);
    }
  }
}
