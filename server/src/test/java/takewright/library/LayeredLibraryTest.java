package takewright.library;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import javax.sound.midi.MidiSystem;
import javax.sound.midi.Soundbank;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.FileProblemException;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.library.folder.MapCsv;
import takewright.map.JdkSynthesiser;
import takewright.map.Zone;
import takewright.pitch.Pitch;
import takewright.render.Render;
import takewright.sheet.cell.CellStatus;
import takewright.testing.Ear;
import takewright.testing.Outside;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/**
 * A small library of three articulations in three layers, with dynamics and round robins, built
 * from recordings by one sheet.
 */
class LayeredLibraryTest {
  private static final List<String> NOTES = List.of("G3", "A3", "C4", "E4");
  private static final String SHEET =
      """
      library: Larkfell
      layers:
        - {name: close}
        - {name: room, room: {length_m: 8, width_m: 6, height_m: 3, absorption: 0.3}, wet_db: -9}
        - name: fx
          chain: [{delay: {time_ms: 130, feedback: 0.3, low_pass: 2500}}, {reverb: {decay_s: 1.2}}]
      map: {first_key: C2}
      takes:
        - file: sustain.wav
          articulation: sustain
          notes: [G3, A3, C4, E4]
          dynamics: [p, f]
          round_robins: 2
        - {file: staccato.wav, articulation: staccato, notes: [G3, A3, C4, E4], round_robins: 2}
        - {file: knocks.wav, articulation: knock, kind: unpitched, round_robins: 3}
      """;

  @TempDir static Path folder;
  private static Path library;
  private static BuildResult result;
  private static List<IndexRow> kept;
  private static List<Zone> map;

  @BeforeAll
  static void build() throws IOException {
    Map<String, Recordings.Note> recorded = new HashMap<>();
    Recordings.of("violin").forEach(note -> recorded.put(note.name(), note));
    TakeBuilder sustain = new TakeBuilder(44_100, 11).pause(2);
    TakeBuilder staccato = new TakeBuilder(44_100, 12).pause(2);
    for (String name : NOTES) {
      Recordings.Note note = recorded.get(name);
      for (double peak : new double[] {-24, -10}) {
        for (double seconds : new double[] {2.6, 2.2}) {
          sustain
              .sound("note", note.midi(), TakeBuilder.faded(note.read(seconds)), peak, -66)
              .pause();
        }
      }
      for (double seconds : new double[] {0.5, 0.45}) {
        staccato
            .sound("note", note.midi(), TakeBuilder.faded(note.read(seconds)), -12, -66)
            .pause();
      }
    }
    TakeBuilder knocks = new TakeBuilder(44_100, 13).pause(2);
    for (int i = 0; i < 3; i++) {
      knocks.sound("knock", 0, knocks.knock(), -12, -66).pause();
    }
    WavWriter.write(folder.resolve("sustain.wav"), sustain.build(-66), 24, WavChunks.NONE);
    WavWriter.write(folder.resolve("staccato.wav"), staccato.build(-66), 24, WavChunks.NONE);
    WavWriter.write(folder.resolve("knocks.wav"), knocks.build(-66), 24, WavChunks.NONE);
    Path sheet = folder.resolve("larkfell.yaml");
    Files.writeString(sheet, SHEET);
    library = folder.resolve("library");
    result = Build.run(sheet, library, p -> {}, () -> false);
    kept =
        IndexCsv.read(result.indexFile()).stream()
            .filter(row -> row.status() == CellStatus.KEPT)
            .toList();
    map = MapCsv.read(library).zones();
  }

  private static Clip read(String file) throws IOException {
    try (AudioFile audio = AudioFile.open(library.resolve(file))) {
      return Clip.read(audio, (int) audio.frames());
    }
  }

  @Test
  void everyCellIsThereInEveryLayerUnderTheSameName() {
    assertEquals(0, result.missing());
    assertEquals(3 * (16 + 8 + 3), kept.size());
    Map<String, TreeSet<String>> layers = new TreeMap<>();
    for (IndexRow row : kept) {
      layers
          .computeIfAbsent(
              row.file().replace("_" + row.cell().layer() + "_", "_*_"), base -> new TreeSet<>())
          .add(row.cell().layer());
    }
    assertEquals(27, layers.size());
    layers.forEach(
        (base, of) -> assertEquals(new TreeSet<>(List.of("close", "fx", "room")), of, base));
  }

  /** The lag at which the layer is most like the close sample around the onset, in frames. */
  @Test
  void everyLayerOfANoteHasTheSameOnset() throws IOException {
    int checked = 0;
    for (IndexRow row : kept) {
      if (row.cell().layer().equals("close")) {
        continue;
      }
      float[] close = read(row.file().replace("_" + row.cell().layer() + "_", "_close_")).mono();
      float[] layer = read(row.file()).mono();
      assertTrue(layer.length >= close.length);
      // A note is like itself again after every period.
      double period =
          row.cell().midi() == null
              ? 960
              : 48_000 / (440 * Math.pow(2, (row.cell().midi() - 69) / 12.0));
      int best = 0;
      double max = 0;
      for (int lag = (int) (-period / 2); lag <= period / 2; lag++) {
        double sum = 0;
        for (int i = 480; i < 480 + 4800; i++) {
          sum += close[i] * layer[i + lag];
        }
        if (Math.abs(sum) > max) {
          max = Math.abs(sum);
          best = lag;
        }
      }
      // The reflections of the room pull a little; half a period is 80 frames and more.
      assertTrue(Math.abs(best) <= 10, row.file() + ": " + best);
      assertTrue(Math.abs(layer[layer.length - 1]) < 1e-4, "faded: " + row.file());
      checked++;
    }
    assertEquals(54, checked);
  }

  @Test
  void everyCoveredKeyPlaysOneRootOfOneDynamic() {
    for (String articulation : List.of("sustain", "staccato", "knock")) {
      for (String layer : List.of("close", "room", "fx")) {
        int covered = 0;
        for (int key = 0; key < 128; key++) {
          TreeSet<String> kinds = new TreeSet<>();
          int max = 0;
          for (int velocity = 1; velocity < 128; velocity++) {
            int k = key;
            int v = velocity;
            List<Zone> zones =
                map.stream()
                    .filter(z -> z.articulation().equals(articulation) && z.layer().equals(layer))
                    .filter(z -> z.answers(k, v))
                    .toList();
            max = Math.max(max, zones.size());
            kinds.add(zones.isEmpty() ? "none" : "some");
            assertTrue(zones.stream().map(z -> z.root() + z.dynamic()).distinct().count() <= 1);
          }
          assertEquals(1, kinds.size(), articulation + " " + key);
          covered += max > 0 ? 1 : 0;
        }
        // G3 - 4 to E4 + 4; three knocks.
        assertEquals(articulation.equals("knock") ? 3 : 64 + 4 - (55 - 4) + 1, covered);
      }
    }
  }

  /** What libsndfile and SoX read in each file against the map. */
  @Test
  void othersReadTheMapsKeysInTheFiles() throws IOException {
    Outside.tool("sndfile-info");
    Outside.tool("sox");
    assertEquals(81, map.size());
    for (Zone zone : map) {
      Path file = library.resolve(zone.file());
      try (AudioFile audio = AudioFile.open(file)) {
        WavChunks.Instrument inst = audio.chunks().instrument();
        assertEquals(zone.root(), inst.unityNote());
        assertEquals(zone.lowKey(), inst.lowNote());
        assertEquals(zone.highKey(), inst.highNote());
        assertEquals(zone.lowVelocity(), inst.lowVelocity());
        assertEquals(zone.highVelocity(), inst.highVelocity());
      }
      assertEquals(zone.root(), number(run("sndfile-info", file), "Midi Note\\s*: (\\d+)"));
      // SoX takes note of both chunks and has nothing to say against them.
      String sox = run("sox", "-V4", file, "-n", "stat");
      assertTrue(sox.contains("WAV Chunk smpl") && sox.contains("WAV Chunk inst"), sox);
      assertFalse(sox.contains("WARN") || sox.contains("FAIL"), sox);
      // As the standards update of 1994 has it: note, cents, gain, keys, velocities.
      byte[] bytes = Files.readAllBytes(file);
      int at = new String(bytes, "ISO-8859-1").lastIndexOf("inst");
      assertArrayEquals(
          new byte[] {
            (byte) zone.root(),
            0,
            0,
            (byte) zone.lowKey(),
            (byte) zone.highKey(),
            (byte) zone.lowVelocity(),
            (byte) zone.highVelocity()
          },
          java.util.Arrays.copyOfRange(bytes, at + 8, at + 15));
    }
  }

  private static int number(String text, String pattern) {
    Matcher matcher = Pattern.compile(pattern).matcher(text);
    assertTrue(matcher.find(), pattern + " is not in " + text);
    return Integer.parseInt(matcher.group(1));
  }

  private static String run(String tool, Object... arguments) throws IOException {
    List<String> command = new ArrayList<>(List.of(Outside.tool(tool).toString()));
    for (Object argument : arguments) {
      command.add(argument.toString());
    }
    Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
    return new String(process.getInputStream().readAllBytes(), "ISO-8859-1");
  }

  @Test
  void everyDlsFileLoadsAndIsInTune() throws Exception {
    List<Path> instruments;
    try (Stream<Path> files = Files.list(library)) {
      instruments = files.filter(f -> f.toString().endsWith(".dls")).sorted().toList();
    }
    assertEquals(9, instruments.size());
    for (Path file : instruments) {
      Soundbank bank = MidiSystem.getSoundbank(file.toFile());
      assertEquals(1, bank.getInstruments().length);
    }
    for (String layer : List.of("close", "room", "fx")) {
      isInTune(layer);
    }
  }

  /**
   * Every root and two keys on either side: the mean pitch is that of the sample moved there, loop
   * and all, within 1 cent. What a pitch tracker takes for the middle of so short a vibrato would
   * say no more than that within 3 cents.
   */
  private static void isInTune(String layer) throws Exception {
    byte[] dls = Files.readAllBytes(library.resolve("Larkfell_sustain_" + layer + ".dls"));
    double seconds = 2.5;
    List<JdkSynthesiser.Note> notes = new ArrayList<>();
    List<Zone> zones = new ArrayList<>();
    for (Zone zone : map) {
      if (!zone.articulation().equals("sustain")
          || !zone.layer().equals(layer)
          || zone.highVelocity() < 127
          || zone.rr() > 1) {
        continue;
      }
      int root = zone.root();
      Clip sample = part(read(zone.file()), 0, seconds);
      assertEquals(root, Analyse.pitch(sample, new AnalyseSettings(false, 440)).midi());
      for (int key = root - 2; key <= root + 2; key++) {
        // Of two roots that are as near, the lower one plays.
        boolean plays = key >= zone.lowKey() && key <= zone.highKey();
        if (plays) {
          // As long as the sample, so that the pitch is that of the whole note.
          double length = seconds / Math.pow(2, (key - root) / 12.0);
          notes.add(new JdkSynthesiser.Note(key, 127, 6.0 * notes.size(), length));
          zones.add(zone);
        }
      }
    }
    assertEquals(14, notes.size());
    Clip played = JdkSynthesiser.play(dls, notes, 6.0 * notes.size());
    Path file = folder.resolve("keys_" + layer + ".wav");
    WavWriter.write(file, played, 24, WavChunks.NONE);
    StringBuilder script = new StringBuilder("y = [");
    for (int i = 0; i < notes.size(); i++) {
      JdkSynthesiser.Note note = notes.get(i);
      Clip one = part(played, note.startS(), note.startS() + note.lengthS());
      assertEquals(note.key(), Analyse.pitch(one, new AnalyseSettings(false, 440)).midi());
      int root = zones.get(i).root();
      script.append(
          String.format(
              "key_cents(%s, %s, %s, %s, %d, %s), ",
              Ear.quoted(file),
              note.startS(),
              note.lengthS(),
              Ear.quoted(library.resolve(zones.get(i).file())),
              note.key() - root,
              440 * Math.pow(2, (root - 69) / 12.0)));
    }
    double[] off = new Ear(folder).y(script + "]");
    for (int i = 0; i < off.length; i++) {
      assertEquals(0, off[i], 0.3, layer + ", key " + notes.get(i).key());
    }
  }

  private static Clip part(Clip clip, double fromS, double toS) {
    return clip.slice((int) (fromS * clip.sampleRate()), (int) (toS * clip.sampleRate()));
  }

  /** A file of nothing would be taken for a render that worked. */
  @Test
  void aPhraseWithoutANoteOfTheLibraryIsRefused() {
    Path out = folder.resolve("nothing.wav");
    FileProblemException e =
        assertThrows(
            FileProblemException.class,
            () -> Render.run(new Render.Request(library, null, "30 C8", "sustain", "close"), out));
    assertTrue(
        e.getMessage().startsWith("`notes` holds no note that sustain can play; play notes from "),
        e.getMessage());
    assertFalse(Files.exists(out));
  }

  @Test
  void aRenderedPhraseIsInTuneNoteByNote() throws IOException {
    int[] keys = {64, 55, 60, 57, 62, 53, 66};
    for (String layer : List.of("close", "room")) {
      Path out = folder.resolve(layer + ".wav");
      StringBuilder list = new StringBuilder();
      for (int key : keys) {
        list.append(key).append(":2.2@120 -:1.8 ");
      }
      Render.RenderSummary report =
          Render.run(new Render.Request(library, null, list + "30 C8", "sustain", layer), out);
      assertEquals(keys.length + 2, report.notes());
      assertEquals(2, report.unplayed().size());
      assertEquals(30, report.unplayed().get(0).key());
      assertTrue(report.peakDbfs() <= -0.99);
      Clip played;
      try (AudioFile audio = AudioFile.open(out)) {
        played = Clip.read(audio, (int) audio.frames());
      }
      for (int i = 0; i < keys.length; i++) {
        Clip one = part(played, 0.25 + 4 * i, 0.25 + 4 * i + 2.2);
        Pitch pitch = Analyse.pitch(one, new AnalyseSettings(false, 440));
        assertEquals(keys[i], pitch.midi());
        // These violins swing by 5 to 10 cents and wander: over two seconds their mean pitch, by
        // the
        // phase of a partial, lies up to 3.6 cents off the note.
        assertEquals(0, pitch.cents(), 4, layer + " " + keys[i]);
      }
    }
  }

  @Test
  void aSecondBuildMakesNothingAnew() throws IOException {
    Map<String, Long> before = times();
    BuildResult again = Build.run(folder.resolve("larkfell.yaml"), library, p -> {}, () -> false);
    assertEquals(81, again.samplesReused());
    Map<String, Long> after = times();
    before.remove("index.csv");
    after.remove("index.csv");
    assertEquals(before, after);
  }

  private static Map<String, Long> times() throws IOException {
    Map<String, Long> times = new TreeMap<>();
    try (Stream<Path> files = Files.list(library)) {
      for (Path file : files.filter(Files::isRegularFile).toList()) {
        times.put(file.getFileName().toString(), Files.getLastModifiedTime(file).toMillis());
      }
    }
    return times;
  }

  @Test
  void theReadmeSaysWhatIsInTheFolder() throws IOException {
    String readme = Files.readString(library.resolve("README.txt"));
    for (String word :
        List.of(
            "Larkfell",
            "sustain, close: 16 samples",
            "C4",
            "map.csv",
            "_room.dls",
            "harms",
            "Leave out what is about the session",
            "index.csv    tells at which times people talked",
            "player's consent")) {
      assertTrue(readme.contains(word), word);
    }
    assertFalse(readme.lines().anyMatch(line -> line.length() > 100));
  }
}
