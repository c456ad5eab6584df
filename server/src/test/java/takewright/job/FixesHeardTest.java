package takewright.job;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.Problem;
import takewright.library.BuildResult;
import takewright.testing.Ear;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * What each key of `fixes` does: a library is built with and without it, and what others' ears hear
 * in the files, or what the index says, is compared. Every sample that is not meant stays as it
 * was, byte for byte.
 */
class FixesHeardTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -60;
  private static final double NOTE_S = 2.5;
  private static final double A3_HZ = 220;
  private static final double C4_HZ = 261.6256;
  private static final double E4_HZ = 329.6276;

  @TempDir static Path folder;
  private static Job job;
  private static Ear ear;

  /** Onsets of A3, A3, A3, C4, C4, E4, E4 and a knock, in seconds. */
  private static final List<Double> ONSETS = new ArrayList<>();

  @BeforeAll
  static void record() {
    TakeBuilder take = new TakeBuilder(RATE, 51).pause(3);
    double[] hz = {A3_HZ, A3_HZ, A3_HZ, C4_HZ, C4_HZ, E4_HZ, E4_HZ};
    double[] detune = {14, 11, 9, -9, -12, 20, 6};
    for (int i = 0; i < hz.length; i++) {
      float[] note = tone(hz[i] * Math.pow(2, detune[i] / 1200));
      take.sound("note", 0, note, -14 - i % 2, ROOM_DBFS).pause(1.5);
    }
    take.sound("knock", 0, take.knock(), -20, ROOM_DBFS).pause(2);
    take.events().forEach(event -> ONSETS.add((double) event.onset() / RATE));
    job = new Job(folder).take("take.wav", take.build(ROOM_DBFS));
    ear = new Ear(folder);
    job.build("plain", sheet("", ""));
  }

  private static float[] tone(double hz) {
    return HeldTone.of(RATE, hz, NOTE_S).samples();
  }

  private static String sheet(String fixes, String more) {
    return "library: Larkfell\n"
        + more
        + "takes:\n"
        + "  - file: take.wav\n"
        + "    articulation: a\n"
        + "    notes: [A3, C4, E4, G4]\n"
        + "    round_robins: 2\n"
        + (fixes.isEmpty() ? "" : "    fixes: [" + fixes + "]\n");
  }

  private static BuildResult build(String name, String fixes, Object... times) {
    return job.build(name, sheet(String.format(Locale.ROOT, fixes, times), ""));
  }

  /** A time inside a sound of the take, in seconds. */
  private static double at(int sound) {
    return ONSETS.get(sound) + 0.1;
  }

  /** The samples that differ from those of another library, without "Larkfell_a_close_". */
  private static Set<String> changed(String name, String from) throws IOException {
    Set<String> names = new TreeSet<>();
    for (String library : List.of(name, from)) {
      for (Path file : job.samples(library, "_")) {
        Path one = job.file(name).resolve(file.getFileName());
        Path other = job.file(from).resolve(file.getFileName());
        if (!Files.exists(one) || !Files.exists(other) || Files.mismatch(one, other) >= 0) {
          names.add(file.getFileName().toString().replaceAll("Larkfell_a_close_|_mf|\\.wav", ""));
        }
      }
    }
    return names;
  }

  private static double[] times(String name, String file) {
    String[] row =
        job.rows(name, "file", "Larkfell_a_close_" + file + ".wav", "start_s", "onset_s", "end_s")
            .get(0);
    return Arrays.stream(row).mapToDouble(Double::parseDouble).toArray();
  }

  private static void assertOnset(double expected, String name, String file) {
    assertEquals(expected, times(name, file)[1], 0.02, file);
  }

  /** Without fixes two of three A3 are kept, and G4 is missing. */
  @Test
  void withoutFixesWhatIsHeardDecides() {
    assertEquals(1, job.rows("plain", "status", "retake", "note").size());
    assertEquals(2, job.rows("plain", "status", "missing", "note").size());
    assertEquals(6, job.samples("plain", "_").size());
  }

  /** The onset of the A3 that is not kept, in seconds. */
  private static double retakeS() {
    return Double.parseDouble(job.rows("plain", "status", "retake", "onset_s").get(0)[0]);
  }

  private static List<Double> kept(String name, String note) {
    return job.rows(name, "note", note, "status", "onset_s").stream()
        .filter(row -> row[0].equals("kept"))
        .map(row -> Double.valueOf(row[1]))
        .toList();
  }

  @Test
  void centsAreAddedToWhatWasMeasured() throws IOException {
    build("cents", "{at: %.3f, cents: -5}, {note: E4, rr: 1, cents: 8}", at(3));
    assertEquals(Set.of("C4_rr1", "E4_rr1"), changed("cents", "plain"));
    double[] heard =
        ear.cents(
            List.of(job.sample("cents", "C4", "rr1"), job.sample("cents", "E4", "rr1")),
            C4_HZ,
            E4_HZ);
    assertArrayEquals(new double[] {-5, 8}, heard, 1);
    String[] after = job.rows("cents", "note", "C4", "cents_after").get(0);
    assertEquals(-5, Double.parseDouble(after[0]), 1);
  }

  @Test
  void gainIsAddedToWhatWasMeasured() throws IOException {
    build("gain", "{at: %.3f, gain_db: -4.5}", at(3));
    assertEquals(Set.of("C4_rr1"), changed("gain", "plain"));
    assertEquals(-4.5, rms("gain", 0.5, 2) - rms("plain", 0.5, 2), 0.05);
  }

  /** Also where levels are left as they were played. */
  @Test
  void gainIsAddedWhereLevelsAreLeftAlone() {
    String off = "levels: {gain: off}\n";
    job.build("off", sheet("", off));
    job.build("off-gain", sheet("{note: C4, rr: 1, gain_db: 3}", off));
    assertEquals(3, rms("off-gain", 0.5, 2) - rms("off", 0.5, 2), 0.05);
  }

  /** No sample passes -1 dBTP, and one that would is flagged. */
  @Test
  void gainEndsBelowFullScale() {
    build("loud", "{at: %.3f, gain_db: 30}", at(3));
    String[] row =
        job.rows("loud", "file", "Larkfell_a_close_C4_mf_rr1.wav", "peak_dbtp", "flags").get(0);
    assertEquals(-1, Double.parseDouble(row[0]), 0.1);
    assertEquals("level_limit", row[1]);
  }

  private static double rms(String name, double fromS, double toS) {
    String file = Ear.quoted(job.sample(name, "C4", "rr1"));
    return ear.y(String.format(Locale.ROOT, "y = [rms(%s, %f, %f)]", file, fromS, toS))[0];
  }

  @Test
  void theLoopLiesWhereItIsPut() throws IOException {
    double from = ONSETS.get(3) + 0.8;
    double to = ONSETS.get(3) + 1.9;
    build("loop", "{at: %.3f, loop_s: [%.4f, %.4f]}", at(3), from, to);
    assertEquals(Set.of("C4_rr1"), changed("loop", "plain"));
    long[] loop = ear.loop(job.sample("loop", "C4", "rr1"));
    double start = times("loop", "C4_mf_rr1")[0];
    // It is tuned up by 9 cents, and so plays faster by so much.
    double ratio = Math.pow(2, 9 / 1200.0);
    assertEquals((from - start) / ratio, (double) loop[0] / RATE, 0.001);
    assertEquals((to - start) / ratio, (double) (loop[1] + 1) / RATE, 0.6 / C4_HZ + 0.001);
    // Held, it goes on in step: whole periods, as near as a frame comes to them.
    double periods = (loop[1] + 1 - loop[0]) * C4_HZ / RATE;
    assertEquals(Math.rint(periods), periods, 0.02);
  }

  @Test
  void aLoopOutsideOfItsRegionIsSaid() {
    BuildResult result = build("loop-far", "{at: %.3f, loop_s: [1, 2]}", at(3));
    assertTrue(
        result.warnings().get(0).text().contains("`fixes` puts a loop from 1.00 to 2.00 s"),
        result.warnings().toString());
  }

  @Test
  void thereIsNoLoopWhereNoneIsWanted() throws IOException {
    assertTrue(ear.loop(job.sample("plain", "C4", "rr1"))[0] > 0, "usually there is one");
    build("no-loop", "{at: %.3f, loop: no}", at(3));
    assertEquals(-1, ear.loop(job.sample("no-loop", "C4", "rr1"))[0]);
    assertEquals(Set.of("C4_rr1"), changed("no-loop", "plain"));
  }

  @Test
  void theRoomIsLoweredByAsMuchAsIsAskedFor() throws IOException {
    String far = "lead_in_ms: 400\n";
    job.build("clean", sheet("", far));
    job.build("less", sheet("{note: C4, rr: 1, cleaning_db: 6}", far));
    job.build("none", sheet("{note: C4, rr: 1, cleaning_db: 0}", far));
    assertEquals(Set.of("C4_rr1"), changed("less", "clean"));
    double raw = rms("none", 0.22, 0.36);
    assertEquals(-6, rms("less", 0.22, 0.36) - raw, 2);
    assertTrue(rms("clean", 0.22, 0.36) - raw < -15, "usually the room falls by more");
  }

  @Test
  void theSampleBeginsAndEndsWhereItIsPut() throws IOException {
    double start = ONSETS.get(3) - 0.05;
    double end = ONSETS.get(3) + 2.2;
    build("bounds", "{at: %.3f, start_s: %.4f, end_s: %.4f}", at(3), start, end);
    double[] times = times("bounds", "C4_mf_rr1");
    assertArrayEquals(new double[] {start, start + 0.01, end}, times, 1e-4);
    double ratio = Math.pow(2, 9 / 1200.0);
    double seconds = (double) ear.frames(job.sample("bounds", "C4", "rr1")) / RATE;
    assertEquals(0.01 + (end - start - 0.01) / ratio, seconds, 0.003);
    // Its sound sets in where it lies in the take.
    double[] sets =
        ear.y(
            "x, r = mono("
                + Ear.quoted(job.sample("bounds", "C4", "rr1"))
                + ")\ny = [np.argmax(np.abs(x) > 0.05 * np.max(np.abs(x))) / r]");
    assertEquals(0.05, sets[0], 0.006);
  }

  @Test
  void anEndAloneLeavesTheOnset() {
    build("end", "{note: C4, rr: 1, end_s: %.4f}", ONSETS.get(3) + 1.5);
    double[] plain = times("plain", "C4_mf_rr1");
    double[] ended = times("end", "C4_mf_rr1");
    assertArrayEquals(new double[] {plain[0], plain[1], ONSETS.get(3) + 1.5}, ended, 1e-4);
  }

  @Test
  void onlyTheFlagsThatAreAcceptedVanish() throws IOException {
    String strict = "tuning: {limit_cents: 5}\nlevels: {max_db: 0}\n";
    job.build("flags", sheet("", strict));
    job.build("accept", sheet("{note: C4, rr: 1, accept: out_of_tune}", strict));
    Set<String> left = new TreeSet<>(Set.of(flags("flags", "C4_mf_rr1").split(" ")));
    assertTrue(left.remove("out_of_tune"));
    assertFalse(left.isEmpty(), "it has another flag, which stays");
    assertEquals(left, new TreeSet<>(Set.of(flags("accept", "C4_mf_rr1").split(" "))));
    assertEquals(flags("flags", "C4_mf_rr2"), flags("accept", "C4_mf_rr2"));
    assertEquals(Set.of(), changed("accept", "flags"));
  }

  private static String flags(String name, String file) {
    return job.rows(name, "file", "Larkfell_a_close_" + file + ".wav", "flags").get(0)[0];
  }

  @Test
  void whatIsAcceptedAsMissingIsMissedNoMore() throws IOException {
    build("missing", "{note: G4, rr: 2, accept: missing}");
    assertEquals(1, job.rows("missing", "status", "missing", "note").size());
    assertEquals(Set.of(), changed("missing", "plain"));
  }

  @Test
  void aRegionIsWhatItIsSaidToBe() throws IOException {
    // A new note would share the loudness and the keys of its neighbours.
    String off = "levels: {gain: off}\nmap: {reach_semitones: 0}\n";
    job.build("was", sheet("", off));
    String fixes = "{at: %.3f, note: G4, rr: 2}, {at: %.3f, rr: 2}";
    job.build("is", sheet(String.format(Locale.ROOT, fixes, ONSETS.get(7), at(3)), off));
    assertOnset(ONSETS.get(7), "is", "G4_mf_rr2");
    assertOnset(ONSETS.get(3), "was", "C4_mf_rr1");
    assertOnset(ONSETS.get(3), "is", "C4_mf_rr2");
    assertEquals(Set.of("G4_rr2", "C4_rr1", "C4_rr2"), changed("is", "was"));
    assertEquals("", flags("is", "C4_mf_rr2"), "a person has looked at it");
  }

  /** It is tuned like any other, and not marked: a person has looked at it. */
  @Test
  void whatIsKeptTakesThePlaceOfAnotherAttempt() {
    build("keep", "{at: %.3f, keep: yes}", retakeS() + 0.1);
    int rr = 1 + kept("keep", "A3").indexOf(retakeS());
    assertTrue(rr > 0, kept("keep", "A3").toString());
    assertEquals("", flags("keep", "A3_mf_rr" + rr));
    assertEquals(0, ear.cents(job.sample("keep", "A3", "rr" + rr), A3_HZ), 1);
  }

  @Test
  void whatIsDroppedLeavesItsPlaceToAnotherAttempt() {
    double dropped = kept("plain", "A3").get(1);
    build("drop", "{at: %.3f, drop: yes}", dropped + 0.1);
    build("drop-cell", "{note: A3, rr: 2, drop: yes}");
    for (String name : List.of("drop", "drop-cell")) {
      assertEquals(2, kept(name, "A3").size());
      assertTrue(kept(name, "A3").contains(retakeS()), name);
      assertEquals(
          List.of(dropped),
          job.rows(name, "flags", "dropped", "onset_s").stream()
              .map(row -> Double.valueOf(row[0]))
              .toList());
    }
  }

  /** A region that holds two sounds becomes two, and where nothing was heard there is one. */
  @Test
  void twoPairsOfBoundsMakeTwoRegions() {
    double start = ONSETS.get(4);
    build(
        "split",
        "{at: %.3f, start_s: %.4f, end_s: %.4f}, {at: %.3f, start_s: %.4f, end_s: %.4f, note: G4,"
            + " rr: 1}, {at: 1.5, start_s: 1, end_s: 2, note: G4, rr: 2}",
        at(4),
        start - 0.01,
        start + 1.2,
        start + 2,
        start + 1.4,
        start + 2.4);
    assertArrayEquals(
        new double[] {start - 0.01, start, start + 1.2}, times("split", "C4_mf_rr2"), 1e-4);
    assertArrayEquals(
        new double[] {start + 1.4, start + 1.41, start + 2.4}, times("split", "G4_mf_rr1"), 1e-4);
    assertArrayEquals(new double[] {1, 1.01, 2}, times("split", "G4_mf_rr2"), 1e-4);
  }

  /** Two halves that were cut apart are one note again. */
  @Test
  void whatLiesWithinOthersBoundsBelongsToThem() {
    double start = ONSETS.get(3) - 0.01;
    double end = ONSETS.get(4) + NOTE_S;
    build("joined", "{at: %.3f, start_s: %.4f, end_s: %.4f}", at(3), start, end + 0.3);
    assertEquals(
        1,
        job.rows("joined", "flags", "dropped", "onset_s").stream()
            .filter(row -> Math.abs(Double.parseDouble(row[0]) - ONSETS.get(4)) < 0.02)
            .count());
  }

  @Test
  void aFixThatFitsNoRegionSaysWhichIsNearest() {
    BuildResult result =
        build(
            "none-there", "{at: 2, cents: 3}, {note: G4, rr: 1, cents: 3}, {note: D4, keep: yes}");
    List<String> said =
        result.warnings().stream().map(Problem::text).filter(w -> w.contains("fixes")).toList();
    assertEquals(3, said.size(), said.toString());
    String nearest =
        String.format(Locale.ROOT, "nearest is from %.2f s", times("plain", "A3_mf_rr1")[0]);
    assertTrue(
        said.get(0).startsWith("none-there.yaml:7: `fixes` is about 2 s, where take.wav has no"),
        said.toString());
    assertTrue(said.get(1).contains("names a cell that no region of take.wav fills"), nearest);
    assertTrue(said.get(1).contains("nearest is from"), said.toString());
    assertTrue(said.get(2).contains("is not asked for"), said.toString());
  }

  /** The file of decisions holds over the sheet, key by key. */
  @Test
  void decisionsHoldOverTheSheet() throws IOException {
    job.build(
        "decided",
        sheet("{note: C4, rr: 1, cents: 9, gain_db: -4.5}", ""),
        String.format(
            Locale.ROOT, "takes: [{file: take.wav, fixes: [{at: %.3f, cents: -5}]}]\n", at(3)));
    assertEquals(Set.of("C4_rr1"), changed("decided", "plain"));
    assertEquals(-5, ear.cents(job.sample("decided", "C4", "rr1"), C4_HZ), 1);
    assertEquals(-4.5, rms("decided", 0.5, 2) - rms("plain", 0.5, 2), 0.05);
  }
}
