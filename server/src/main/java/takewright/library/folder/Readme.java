package takewright.library.folder;

import java.nio.charset.StandardCharsets;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import takewright.map.KeyMap;
import takewright.map.RoundRobins;
import takewright.map.Zone;
import takewright.name.NoteNames;
import takewright.sheet.Sheet;

/** Describes an output folder for the musician who opens it. */
public final class Readme {
  private Readme() {}

  /**
   * The text, as the bytes of a file.
   *
   * @param instruments the DLS files
   * @param texts the files made by templates
   */
  public static byte[] text(Sheet sheet, KeyMap map, List<String> instruments, List<String> texts) {
    StringBuilder text = new StringBuilder();
    line(text, sheet.library());
    line(text, "=".repeat(sheet.library().length()));
    line(text, "");
    sheet.about().lines().forEach((name, said) -> line(text, String.format("%-13s%s", name, said)));
    if (!sheet.about().lines().isEmpty()) {
      line(text, "");
    }
    line(text, "Before you listen: loud or sudden sound harms ears and speakers. Turn the level");
    line(text, "down, play one note, then raise it slowly.");
    line(text, "");
    line(text, "What is in this folder");
    line(text, "----------------------");
    line(text, "");
    Map<List<String>, int[]> groups = new LinkedHashMap<>();
    boolean hasRoundRobins = false;
    for (Zone zone : map.zones()) {
      int[] range =
          groups.computeIfAbsent(
              List.of(zone.articulation(), zone.layer()), g -> new int[] {0, 127, 0});
      range[0]++;
      range[1] = Math.min(range[1], zone.lowKey());
      range[2] = Math.max(range[2], zone.highKey());
      hasRoundRobins |= zone.rrCount() > 1;
    }
    NoteNames names = sheet.naming().noteNames();
    groups.forEach(
        (group, range) ->
            line(
                text,
                "  "
                    + group.get(0)
                    + ", "
                    + group.get(1)
                    + ": "
                    + range[0]
                    + (range[0] == 1 ? " sample" : " samples")
                    + ", played from "
                    + names.spell(range[1])
                    + " to "
                    + names.spell(range[2])));
    line(text, "");
    line(text, "In note names, middle C (MIDI note 60) is " + names.spell(60) + ".");
    line(text, "");
    line(text, "*.wav      The samples, named by this pattern:");
    line(text, "           " + sheet.naming().pattern());
    line(
        text, "           \"layer\" is the way a note is heard (a microphone, a room, an effect).");
    line(
        text, "           The same note in another layer has the same name but for that word, and");
    line(text, "           begins at the same moment. \"rr\" is the round robin: the same note");
    line(text, "           played again. Each file also holds its root note, key range, velocity");
    line(text, "           range and loop, which many samplers read.");
    line(text, "map.csv    The keys and velocities at which each sample plays, with gain,");
    line(text, "           loop and release time; opens in a spreadsheet.");
    for (int i = 0; i < instruments.size(); i++) {
      line(text, (i == 0 ? "*.dls      " : "           ") + instruments.get(i));
    }
    line(text, "           Instruments in the DLS format, one for each articulation and layer,");
    line(text, "           which play at once in any program that reads DLS.");
    if (hasRoundRobins) {
      if (sheet.map().dls().roundRobins() == RoundRobins.BANKS) {
        line(text, "           DLS has no round robins: each is in a bank of its own, chosen by");
        line(text, "           MIDI controller 0 (0 for the first, 1 for the second and so on)");
        line(text, "           before a program change to 1.");
      } else {
        line(text, "           DLS has no round robins: these files hold the first of each. With");
        line(text, "           `round_robins_as: banks` under `map` in the sheet, they hold all.");
      }
    }
    if (sheet.map().dls().modWheel() != null) {
      line(text, "           The modulation wheel moves a low-pass filter.");
    }
    for (String made : texts) {
      line(text, made);
    }
    if (!texts.isEmpty()) {
      line(text, "           The key map by the templates of the sheet.");
    }
    line(text, "play.html  A page on which the library is played; opens in a browser (play.js is");
    line(text, "           part of it).");
    line(
        text,
        "index.csv  What became of every sound of the recordings: kept, rejected or missing.");
    if (!map.gaps().isEmpty()) {
      line(text, "");
      line(text, "Silent keys");
      line(text, "-----------");
      line(text, "");
      for (KeyMap.Gap gap : map.gaps()) {
        line(
            text,
            "  "
                + gap.articulation()
                + ", "
                + gap.layer()
                + ": "
                + names.spell(gap.lowKey())
                + " to "
                + names.spell(gap.highKey()));
      }
    }
    line(text, "");
    line(text, "Before you pass it on");
    line(text, "---------------------");
    line(text, "");
    line(text, "Leave out what is about the session and not about the library:");
    line(text, "  index.csv    tells at which times people talked in the recordings");
    line(text, "  report       holds paths to the recordings, and sounds of them");
    line(text, "  .takewright  what Takewright notes for the next build (a hidden folder)");
    line(text, "Have the player's consent to what you do with the samples, best in writing, and");
    line(text, "the rights in all that was recorded and in the rooms of impulse responses.");
    line(text, "");
    line(text, "To hear it without a sampler: takewright render THIS-FOLDER OUT.wav");
    return text.toString().getBytes(StandardCharsets.UTF_8);
  }

  private static void line(StringBuilder text, String line) {
    text.append(line).append('\n');
  }
}
