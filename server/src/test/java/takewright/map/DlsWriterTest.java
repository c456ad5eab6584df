package takewright.map;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import javax.sound.midi.Soundbank;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.Clip;
import takewright.audio.RiffInfo;
import takewright.pitch.Pitch;

/** Instruments as the JDK's own software synthesiser plays them. */
class DlsWriterTest {
  private static final int RATE = 48_000;

  /** An invented note with five partials, a whole number of periods in its loop. */
  private static Clip note(int midi, double level, int channels) {
    double hz = 440 * Math.pow(2, (midi - 69) / 12.0);
    float[][] x = new float[channels][2 * RATE];
    for (int i = 0; i < x[0].length; i++) {
      double y = 0;
      for (int k = 1; k <= 5; k++) {
        y += Math.sin(2 * Math.PI * k * hz * i / RATE) / k;
      }
      for (int c = 0; c < channels; c++) {
        x[c][i] = (float) (level * y * (c == 0 ? 1 : 0.25));
      }
    }
    return Clip.of(RATE, x);
  }

  /** A loop of about a second that is a whole number of periods long. */
  private static long[] loop(int midi) {
    double period = RATE / (440 * Math.pow(2, (midi - 69) / 12.0));
    long start = RATE / 2;
    return new long[] {start, start + Math.round(Math.round(RATE / period) * period) - 1};
  }

  private static final class Library {
    final List<MapSample> samples = new ArrayList<>();
    final Map<String, Clip> clips = new LinkedHashMap<>();

    void add(int midi, String dynamic, double level, boolean looped, int channels, double gainDb) {
      add(midi, dynamic, 1, level, looped, channels, gainDb);
    }

    void add(
        int midi,
        String dynamic,
        int rr,
        double level,
        boolean looped,
        int channels,
        double gainDb) {
      String file = rr == 1 ? midi + dynamic : midi + dynamic + rr;
      long[] loop = loop(midi);
      samples.add(
          new MapSample(
              file,
              "sustain",
              "close",
              midi,
              dynamic,
              rr,
              20 * Math.log10(level),
              gainDb,
              looped ? loop[0] : null,
              looped ? loop[1] : null,
              400.0));
      clips.put(file, note(midi, level, channels));
    }

    byte[] dls(int bits) throws IOException {
      return dls(bits, DlsSettings.DEFAULTS);
    }

    byte[] dls(int bits, DlsSettings settings) throws IOException {
      KeyMap map = Mapping.apply(samples, MapSettings.DEFAULTS);
      Map<String, DlsWriter.WaveShape> shapes = new LinkedHashMap<>();
      clips.forEach(
          (file, clip) ->
              shapes.put(
                  file, new DlsWriter.WaveShape(RATE, clip.channels(), clip.frames(), bits)));
      ByteArrayOutputStream out = new ByteArrayOutputStream();
      DlsWriter.write(
          out,
          "Tarnwhit sustain",
          settings,
          new RiffInfo(Map.of(RiffInfo.ARTIST, "Invented Player")),
          map.zones(),
          shapes,
          zone -> clips.get(zone.file()).source());
      return out.toByteArray();
    }
  }

  private static double levelDb(Clip clip, int channel, double fromS, double toS) {
    double sum = 0;
    int from = (int) (fromS * clip.sampleRate());
    int to = (int) (toS * clip.sampleRate());
    for (int i = from; i < to; i++) {
      sum += clip.channel(channel)[i] * clip.channel(channel)[i];
    }
    return 10 * Math.log10(sum / (to - from) + 1e-12);
  }

  private static JdkSynthesiser.Note key(int key, int velocity, double startS, double lengthS) {
    return new JdkSynthesiser.Note(key, velocity, startS, lengthS);
  }

  @ParameterizedTest
  @CsvSource({"16", "24"})
  void everyRootAndItsNeighboursAreInTune(int bits) throws Exception {
    Library library = new Library();
    for (int root : new int[] {40, 55, 62, 69, 84}) {
      library.add(root, "mf", 0.1, true, 1, 0);
    }
    byte[] dls = library.dls(bits);
    List<Integer> keys = new ArrayList<>();
    for (int root : new int[] {40, 55, 62, 69, 84}) {
      for (int key = root - 2; key <= root + 2; key++) {
        keys.add(key);
      }
    }
    List<JdkSynthesiser.Note> notes = new ArrayList<>();
    for (int i = 0; i < keys.size(); i++) {
      notes.add(key(keys.get(i), 100, 2 * i, 1.4));
    }
    Clip played = JdkSynthesiser.play(dls, notes, 2 * keys.size());
    for (int i = 0; i < keys.size(); i++) {
      Clip one =
          played.slice(
              (int) ((2 * i + 0.1) * JdkSynthesiser.RATE),
              (int) ((2 * i + 1.3) * JdkSynthesiser.RATE));
      Pitch pitch = Analyse.pitch(one, new AnalyseSettings(false, 440));
      assertEquals((int) keys.get(i), pitch.midi());
      assertEquals(0, pitch.cents(), 3, "key " + keys.get(i));
    }
  }

  @Test
  void aLoopHoldsTenSecondsAndTheReleaseEnds() throws Exception {
    Library library = new Library();
    library.add(57, "mf", 0.1, true, 1, 0);
    library.add(69, "mf", 0.1, false, 1, 0);
    Clip played =
        JdkSynthesiser.play(library.dls(24), List.of(key(57, 127, 0, 10), key(69, 127, 12, 5)), 18);
    double held = levelDb(played, 0, 0.2, 1);
    for (double t = 1; t < 9.9; t += 0.25) {
      assertEquals(held, levelDb(played, 0, t, t + 0.1), 0.3, t + " s");
    }
    // 400 ms to -60 dB: half of it in half of the time, for it is even in dB.
    assertEquals(held - 30, levelDb(played, 0, 10.19, 10.21), 4);
    assertTrue(levelDb(played, 0, 10.42, 10.5) < held - 57);
    // Without a loop the sample ends where it ends, after 2 s.
    assertTrue(levelDb(played, 0, 13.8, 13.9) > -40);
    assertTrue(levelDb(played, 0, 14.1, 14.2) < -90);
  }

  @Test
  void velocityChoosesTheDynamicAndKeepsItsLevel() throws Exception {
    Library library = new Library();
    library.add(60, "p", 0.02, true, 1, 0);
    library.add(60, "f", 0.2, true, 1, 0);
    Clip played =
        JdkSynthesiser.play(
            library.dls(24),
            List.of(key(60, 10, 0, 1), key(60, 50, 2, 1), key(60, 110, 4, 1), key(60, 127, 6, 1)),
            8);
    double soft = levelDb(played, 0, 0.3, 0.8);
    double loud = levelDb(played, 0, 6.3, 6.8);
    assertEquals(20, loud - soft, 0.3);
    assertEquals(soft, levelDb(played, 0, 2.3, 2.8), 0.3);
    assertEquals(loud, levelDb(played, 0, 4.3, 4.8), 0.3);
  }

  /** DLS 2.2: 40 log10(velocity / 127) where an instrument says nothing else. */
  @Test
  void velocityMakesTheLevelOfASingleDynamic() throws Exception {
    Library library = new Library();
    library.add(60, "mf", 0.2, true, 1, 0);
    Clip played =
        JdkSynthesiser.play(library.dls(24), List.of(key(60, 127, 0, 1), key(60, 64, 2, 1)), 4);
    assertEquals(
        40 * Math.log10(64 / 127.0),
        levelDb(played, 0, 2.3, 2.8) - levelDb(played, 0, 0.3, 0.8),
        0.3);
  }

  @Test
  void gainAttenuatesAndStereoStaysStereo() throws Exception {
    Library library = new Library();
    library.add(60, "mf", 0.1, true, 2, 0);
    library.add(72, "mf", 0.1, true, 2, -6);
    Clip played =
        JdkSynthesiser.play(library.dls(24), List.of(key(60, 127, 0, 1), key(72, 127, 2, 1)), 4);
    double left = levelDb(played, 0, 0.3, 0.8);
    assertEquals(20 * Math.log10(0.25), levelDb(played, 1, 0.3, 0.8) - left, 0.3);
    assertEquals(left - 6, levelDb(played, 0, 2.3, 2.8), 0.3);
  }

  @Test
  void theBankSaysWhatItIs() throws Exception {
    Library library = new Library();
    library.add(60, "mf", 0.1, true, 1, 0);
    Soundbank bank = JdkSynthesiser.load(library.dls(16));
    assertEquals(1, bank.getInstruments().length);
    assertEquals("Tarnwhit sustain", bank.getInstruments()[0].getName());
    assertEquals("Tarnwhit sustain", bank.getName());
    // An IART chunk of 16 bytes.
    String dls = new String(library.dls(16), StandardCharsets.ISO_8859_1);
    assertTrue(dls.contains("IART\20\0\0\0Invented Player\0"));
  }

  /** Chunks as RIFF has them: every list is as long as what is in it. */
  @Test
  void sizesAddUp() throws IOException {
    Library library = new Library();
    library.add(60, "mf", 0.1, true, 1, 0);
    library.add(61, "mf", 0.1, true, 2, 0);
    library.clips.put("61mf", library.clips.get("61mf").slice(0, 3333));
    byte[] dls = library.dls(24);
    assertEquals("RIFF", new String(dls, 0, 4, "US-ASCII"));
    assertEquals(dls.length, check(dls, 0));
  }

  private static int check(byte[] bytes, int at) {
    int size =
        java.nio.ByteBuffer.wrap(bytes).order(java.nio.ByteOrder.LITTLE_ENDIAN).getInt(at + 4);
    String tag = new String(Arrays.copyOfRange(bytes, at, at + 4));
    if (tag.equals("RIFF") || tag.equals("LIST")) {
      int inner = at + 12;
      while (inner < at + 8 + size) {
        inner = check(bytes, inner);
      }
      assertEquals(at + 8 + size, inner);
    }
    return at + 8 + size + (size & 1);
  }

  /** What the synthesiser plays of A3 with the wheel at a position. */
  private static Clip withWheel(DlsSettings settings, int wheel) throws Exception {
    Library library = new Library();
    library.add(57, "mf", 0.1, true, 1, 0);
    return JdkSynthesiser.play(
        library.dls(24, settings), List.of(key(57, 127, 0.1, 3)), 3, Map.of(1, wheel), 0);
  }

  private static DlsSettings wheel(double fromHz, double toHz, double resonanceDb) {
    return new DlsSettings(new ModWheel(fromHz, toHz, resonanceDb), 0, RoundRobins.FIRST);
  }

  /** Centre of gravity of the five partials' power, in hertz. */
  private static double centroid(Clip clip) {
    double sum = 0;
    double weighted = 0;
    for (int k = 1; k <= 5; k++) {
      double power = Math.pow(10, partialDb(clip, k) / 10);
      sum += power;
      weighted += 220 * k * power;
    }
    return weighted / sum;
  }

  private static double partialDb(Clip clip, int k) {
    double re = 0;
    double im = 0;
    int n = JdkSynthesiser.RATE;
    for (int i = 0; i < n; i++) {
      double window = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / n);
      double phase = 2 * Math.PI * 220 * k * i / JdkSynthesiser.RATE;
      float x = clip.channel(0)[n + i];
      re += window * x * Math.cos(phase);
      im += window * x * Math.sin(phase);
    }
    return 10 * Math.log10(re * re + im * im + 1e-12);
  }

  @Test
  void theWheelMovesTheFilterAsTheSettingsSayAndNotThePitch() throws Exception {
    DlsSettings none = new DlsSettings(null, 0, RoundRobins.FIRST);
    double plain = centroid(withWheel(none, 0));
    assertEquals(plain, centroid(withWheel(none, 127)), 1, "no wheel");
    DlsSettings closing = wheel(20_000, 300, 3);
    double[] down = new double[3];
    double[] up = new double[3];
    int[] positions = {0, 64, 127};
    for (int i = 0; i < 3; i++) {
      Clip played = withWheel(closing, positions[i]);
      down[i] = centroid(played);
      up[i] = centroid(withWheel(wheel(300, 20_000, 3), positions[i]));
      Pitch pitch = Analyse.pitch(played, new AnalyseSettings(false, 440));
      assertEquals(57, pitch.midi());
      assertEquals(0, pitch.cents(), 3, "wheel at " + positions[i]);
    }
    assertEquals(plain, down[0], 1, "at rest the sample sounds as it is");
    assertTrue(down[2] < 0.8 * down[1], Arrays.toString(down));
    assertTrue(up[0] < 0.8 * up[1], Arrays.toString(up));
    // Controller value 127 is 127/128 of the way.
    assertEquals(plain, up[2], 0.02 * plain, "wheel up, open");
    // The standard's filter falls by 12 dB an octave.
    double fall = partialDb(withWheel(closing, 127), 5) - partialDb(withWheel(closing, 127), 2);
    double before = partialDb(withWheel(none, 127), 5) - partialDb(withWheel(none, 127), 2);
    assertEquals(-40 * Math.log10(5 / 2.0), fall - before, 4);
  }

  @Test
  void theResonanceRaisesWhatIsAtTheCutoff() throws Exception {
    double gentle = partialDb(withWheel(wheel(660, 600, 0), 0), 3);
    double sharp = partialDb(withWheel(wheel(660, 600, 12), 0), 3);
    double far =
        partialDb(withWheel(wheel(660, 600, 12), 0), 1)
            - partialDb(withWheel(wheel(660, 600, 0), 0), 1);
    // The standard lowers the whole by half of the resonance.
    assertTrue(sharp - gentle > far + 8, sharp - gentle + " and " + far + " dB");
  }

  @Test
  void theReverbSendIsHeardWhereItIsAskedFor() throws Exception {
    Library library = new Library();
    library.add(69, "mf", 0.1, false, 1, 0);
    double[] tails = new double[2];
    for (int i = 0; i < 2; i++) {
      DlsSettings settings = new DlsSettings(null, 50 * i, RoundRobins.FIRST);
      Clip played =
          JdkSynthesiser.play(
              library.dls(24, settings), List.of(key(69, 127, 0, 1)), 3, Map.of(91, 0), 0);
      tails[i] = levelDb(played, 0, 1.6, 1.8);
    }
    assertTrue(tails[1] > tails[0] + 20, Arrays.toString(tails));
  }

  @Test
  void roundRobinsAreBanksWhereAskedAndNoBankHasAHole() throws Exception {
    Library library = new Library();
    library.add(60, "mf", 1, 0.1, true, 1, 0);
    library.add(60, "mf", 2, 0.05, true, 1, 0);
    library.add(72, "mf", 1, 0.1, true, 1, 0);
    DlsSettings banks = new DlsSettings(null, 0, RoundRobins.BANKS);
    byte[] dls = library.dls(24, banks);
    assertEquals(dls.length, check(dls, 0));
    Soundbank bank = JdkSynthesiser.load(dls);
    assertEquals(2, bank.getInstruments().length);
    assertEquals("Tarnwhit sustain rr2", bank.getInstruments()[1].getName());
    List<JdkSynthesiser.Note> notes = List.of(key(60, 127, 0, 1), key(72, 127, 2, 1));
    double[] levels = new double[2];
    for (int i = 0; i < 2; i++) {
      Clip played = JdkSynthesiser.play(dls, notes, 4, Map.of(), i);
      levels[i] = levelDb(played, 0, 0.3, 0.8);
      assertTrue(levelDb(played, 0, 2.3, 2.8) > -40, "the key that has one only");
    }
    assertEquals(20 * Math.log10(2), levels[0] - levels[1], 0.3);
    DlsSettings first = new DlsSettings(null, 0, RoundRobins.FIRST);
    assertEquals(1, JdkSynthesiser.load(library.dls(24, first)).getInstruments().length);
  }

  @Test
  void anInstrumentWithoutZonesIsRefused() {
    assertThrows(
        IllegalArgumentException.class,
        () ->
            DlsWriter.write(
                new ByteArrayOutputStream(),
                "x",
                DlsSettings.DEFAULTS,
                RiffInfo.NONE,
                List.of(),
                Map.of(),
                zone -> null));
  }
}
