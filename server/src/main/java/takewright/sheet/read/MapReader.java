package takewright.sheet.read;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.regex.Pattern;
import takewright.diagnosis.SettingException;
import takewright.map.DlsSettings;
import takewright.map.MapSettings;
import takewright.map.ModWheel;
import takewright.map.RoundRobins;
import takewright.map.VelocityRule;
import takewright.name.NoteNames;
import takewright.sheet.MapRules;
import takewright.sheet.MapTemplate;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;
import takewright.sheet.read.yaml.SectionOrNo;

/** Reads how the samples lie on the keys, and what instruments are written of them. */
final class MapReader {
  private static final Key<Integer> REACH =
      Key.whole(
          "reach_semitones",
          0,
          24,
          "semitones",
          MapSettings.DEFAULTS.reachSemitones(),
          "How far from its own note a sample may be played.");
  private static final Key<VelocityRule> VELOCITY =
      Key.word(
          "velocity",
          words(VelocityRule.values()),
          MapSettings.DEFAULTS.velocity(),
          "How velocities are shared out among the dynamics.");
  private static final Key<String> FIRST_KEY =
      Key.text("first_key", "The key of the first sample without a root note.");

  private static final Key<Double> FROM_HZ =
      Key.number(
          "from_hz",
          ModWheel.MIN_HZ,
          ModWheel.MAX_HZ,
          "Hz",
          ModWheel.DEFAULT.fromHz(),
          "Cutoff with the wheel at 0; at 20000 everything passes.");
  private static final Key<Double> TO_HZ =
      Key.number(
          "to_hz",
          ModWheel.MIN_HZ,
          ModWheel.MAX_HZ,
          "Hz",
          ModWheel.DEFAULT.toHz(),
          "Cutoff with the wheel at 127.");
  private static final Key<Double> RESONANCE_DB =
      Key.number(
          "resonance_db",
          0,
          ModWheel.MAX_RESONANCE_DB,
          "dB",
          ModWheel.DEFAULT.resonanceDb(),
          "Gain at the cutoff.");
  private static final Key<SectionOrNo> MOD_WHEEL =
      Key.sectionOrNo(
          "mod_wheel",
          Section.of("`mod_wheel`", FROM_HZ, TO_HZ, RESONANCE_DB),
          "How the modulation wheel moves a low-pass filter in the instruments. With no, it does nothing.");

  private static final Key<Double> REVERB_PERCENT =
      Key.number(
          "reverb_percent",
          0,
          100,
          "%",
          DlsSettings.DEFAULTS.reverbPercent(),
          "How much of a DLS instrument is sent to the reverberation of whatever plays it.");
  private static final Key<RoundRobins> ROUND_ROBINS =
      Key.word(
          "round_robins_as",
          words(RoundRobins.values()),
          DlsSettings.DEFAULTS.roundRobins(),
          "What becomes of round robins in DLS files, which have none.");

  private static final Key<String> FILE =
      Key.text("file", "The template, counted from the folder of the sheet.")
          .required("mine.mustache");
  private static final Key<String> OUT =
      Key.text("out", "The name of the file that is made of it.")
          .required("\"{articulation}.txt\"");
  private static final Key<List<Fields>> TEMPLATES =
      Key.sections(
          "templates",
          Section.of("a template", FILE, OUT),
          "Mustache templates by which the key map is written as text.");

  /** What a name may consist of: fields, and what every file system takes. */
  private static final Pattern OUT_NAME =
      Pattern.compile(
          "(\\{(library|articulation|layer|dynamic)\\}|[A-Za-z0-9_+-])"
              + "(\\{(library|articulation|layer|dynamic)\\}|[A-Za-z0-9._+ -]){0,100}"
              + "\\.[A-Za-z0-9]{1,16}");

  /** Names that a build gives to files of its own. */
  private static final Pattern TAKEN =
      Pattern.compile(
          "(index\\.csv|map\\.csv|README\\.txt|play\\.html|.*\\.(js|wav|dls|part))",
          Pattern.CASE_INSENSITIVE);

  static final Key<Fields> MAP =
      Key.section(
          "map",
          Section.of(
              "`map`",
              REACH,
              VELOCITY,
              FIRST_KEY,
              MOD_WHEEL,
              REVERB_PERCENT,
              ROUND_ROBINS,
              TEMPLATES),
          "How the samples lie on the keys.");

  private MapReader() {}

  static MapRules read(Fields sheet, NoteNames names, SheetFolder folder) {
    Fields fields = sheet.get(MAP);
    if (fields == null) {
      return MapRules.DEFAULTS;
    }
    MapSettings keys =
        new MapSettings(fields.get(REACH), fields.get(VELOCITY), firstKey(fields, names));
    DlsSettings dls =
        new DlsSettings(modWheel(fields), fields.get(REVERB_PERCENT), fields.get(ROUND_ROBINS));
    return new MapRules(keys, dls, templates(fields, folder));
  }

  private static int firstKey(Fields fields, NoteNames names) {
    String key = fields.get(FIRST_KEY);
    if (key != null) {
      try {
        return names.parse(key);
      } catch (SettingException e) {
        fields.error(FIRST_KEY, e.problem().what(), e.problem().remedy());
      }
    }
    return MapSettings.DEFAULTS.firstKey();
  }

  private static List<MapTemplate> templates(Fields map, SheetFolder folder) {
    List<MapTemplate> templates = new ArrayList<>();
    for (Fields fields : map.get(TEMPLATES)) {
      String file = fields.get(FILE);
      String out = fields.get(OUT);
      if (file == null || out == null) {
        continue;
      }
      if (!OUT_NAME.matcher(out).matches()) {
        fields.error(
            OUT,
            "is \"" + out + "\", which is not the name of a file",
            "use letters, digits, . _ + - and {library}, {articulation}, {layer}, {dynamic}, and"
                + " end with a suffix such as .txt");
      } else if (TAKEN.matcher(out).matches()) {
        fields.error(
            OUT, "is \"" + out + "\", a name that a build uses itself", "give it another name");
      } else if (templates.stream().anyMatch(t -> t.out().equalsIgnoreCase(out))) {
        fields.error(
            OUT,
            "is \"" + out + "\", which another template makes too",
            "give each a name of its own");
      } else {
        Path path = folder.path(fields, FILE, file);
        if (path != null) {
          templates.add(new MapTemplate(fields.line(), path, out));
        }
      }
    }
    return templates;
  }

  private static ModWheel modWheel(Fields fields) {
    SectionOrNo wheel = fields.get(MOD_WHEEL);
    if (wheel == null) {
      return ModWheel.DEFAULT;
    }
    if (wheel.isNo()) {
      return null;
    }
    Fields of = wheel.fields();
    ModWheel read = new ModWheel(of.get(FROM_HZ), of.get(TO_HZ), of.get(RESONANCE_DB));
    if (read.fromHz() == read.toHz()) {
      fields.error(
          MOD_WHEEL, "has the same cutoff at both ends", "give two, or write mod_wheel: no");
    }
    return read;
  }

  private static <E extends Enum<E>> Map<String, E> words(E[] values) {
    Map<String, E> words = new LinkedHashMap<>();
    for (E value : values) {
      words.put(value.name().toLowerCase(Locale.ROOT), value);
    }
    return words;
  }
}
