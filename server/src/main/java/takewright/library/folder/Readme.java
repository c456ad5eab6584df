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
  /** Where what is said of a file begins. */
  private static final String INDENT = " ".repeat(11);

  private final Sheet sheet;
  private final KeyMap map;
  private final NoteNames names;
  private final StringBuilder text = new StringBuilder();

  private Readme(Sheet sheet, KeyMap map) {
    this.sheet = sheet;
    this.map = map;
    this.names = sheet.naming().noteNames();
  }

  /**
   * The text, as the bytes of a file.
   *
   * @param instruments the DLS files
   * @param texts the files made by templates
   */
  public static byte[] text(Sheet sheet, KeyMap map, List<String> instruments, List<String> texts) {
    Readme readme = new Readme(sheet, map);
    readme.library();
    readme.samples();
    readme.files(instruments, texts);
    readme.silentKeys();
    readme.passingOn();
    return readme.text.toString().getBytes(StandardCharsets.UTF_8);
  }

  private void library() {
    heading(sheet.library(), "=");
    sheet.about().lines().forEach((name, said) -> line(String.format("%-13s%s", name, said)));
    if (!sheet.about().lines().isEmpty()) {
      line("");
    }
    text.append(
        """
        Before you listen: loud or sudden sound harms ears and speakers. Turn the level
        down, play one note, then raise it slowly.

        """);
  }

  /** The samples and keys of one layer of an articulation. */
  private static final class LayerExtent {
    private int samples;
    private int lowKey = 127;
    private int highKey;

    void add(Zone zone) {
      samples++;
      lowKey = Math.min(lowKey, zone.lowKey());
      highKey = Math.max(highKey, zone.highKey());
    }
  }

  private void samples() {
    heading("What is in this folder", "-");
    Map<String, LayerExtent> layers = new LinkedHashMap<>();
    for (Zone zone : map.zones()) {
      String layer = zone.articulation() + ", " + zone.layer();
      layers.computeIfAbsent(layer, l -> new LayerExtent()).add(zone);
    }
    layers.forEach(
        (layer, extent) ->
            line(
                String.format(
                    "  %s: %d %s, played from %s to %s",
                    layer,
                    extent.samples,
                    extent.samples == 1 ? "sample" : "samples",
                    names.spell(extent.lowKey),
                    names.spell(extent.highKey))));
    line("");
    line("In note names, middle C (MIDI note 60) is " + names.spell(60) + ".");
    line("");
  }

  private void files(List<String> instruments, List<String> texts) {
    file(
        "*.wav",
        "The samples, named by this pattern:\n"
            + sheet.naming().pattern()
            + """

            "layer" is the way a note is heard (a microphone, a room, an effect).
            The same note in another layer has the same name but for that word, and
            begins at the same moment. "rr" is the round robin: the same note
            played again. Each file also holds its root note, key range, velocity
            range and loop, which many samplers read.""");
    file(
        "map.csv",
        """
        The keys and velocities at which each sample plays, with gain,
        loop and release time; opens in a spreadsheet.""");
    file("*.dls", String.join("\n", instruments) + "\n" + aboutInstruments());
    texts.forEach(this::line);
    if (!texts.isEmpty()) {
      line(INDENT + "The key map by the templates of the sheet.");
    }
    file(
        "play.html",
        """
        A page on which the library is played; opens in a browser (play.js is
        part of it).""");
    file("index.csv", "What became of every sound of the recordings: kept, rejected or missing.");
  }

  private String aboutInstruments() {
    String about =
        """
        Instruments in the DLS format, one for each articulation and layer,
        which play at once in any program that reads DLS.""";
    if (map.zones().stream().anyMatch(zone -> zone.rrCount() > 1)) {
      about +=
          sheet.map().dls().roundRobins() == RoundRobins.BANKS
              ? """

              DLS has no round robins: each is in a bank of its own, chosen by
              MIDI controller 0 (0 for the first, 1 for the second and so on)
              before a program change to 1."""
              : """

              DLS has no round robins: these files hold the first of each. With
              `round_robins_as: banks` under `map` in the sheet, they hold all.""";
    }
    return sheet.map().dls().modWheel() == null
        ? about
        : about + "\nThe modulation wheel moves a low-pass filter.";
  }

  private void silentKeys() {
    line("");
    if (map.gaps().isEmpty()) {
      return;
    }
    heading("Silent keys", "-");
    for (KeyMap.Gap gap : map.gaps()) {
      line(
          String.format(
              "  %s, %s: %s to %s",
              gap.articulation(),
              gap.layer(),
              names.spell(gap.lowKey()),
              names.spell(gap.highKey())));
    }
    line("");
  }

  private void passingOn() {
    heading("Before you pass it on", "-");
    text.append(
        """
        Leave out what is about the session and not about the library:
          index.csv    tells at which times people talked in the recordings
          report       holds paths to the recordings, and sounds of them
          .takewright  what Takewright notes for the next build (a hidden folder)
        Have the player's consent to what you do with the samples, best in writing, and
        the rights in all that was recorded and in the rooms of impulse responses.

        To hear it without a sampler: takewright render THIS-FOLDER OUT.wav
        """);
  }

  private void heading(String title, String rule) {
    line(title);
    line(rule.repeat(title.length()));
    line("");
  }

  /** A kind of file, and what is said of it, of one or more lines. */
  private void file(String name, String said) {
    String start = String.format("%-" + INDENT.length() + "s", name);
    for (String line : said.split("\n")) {
      line(start + line);
      start = INDENT;
    }
  }

  private void line(String line) {
    text.append(line).append('\n');
  }
}
