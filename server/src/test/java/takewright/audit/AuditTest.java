package takewright.audit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NotDirectoryException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.CancellationException;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.FileProblemException;
import takewright.name.NoteNames;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.testing.Outside;
import takewright.testing.Recordings;

/**
 * Audits of the recordings, whose names are right, of copies with faults planted in them, and of
 * folders of invented tones in other people's ways of naming.
 */
class AuditTest {
  @TempDir Path folder;

  private record Audited(AuditReport report, List<Finding> findings) {
    /** "file finding", sorted. */
    TreeSet<String> accused() {
      TreeSet<String> accused = new TreeSet<>();
      findings.forEach(f -> accused.add(f.file() + " " + f.finding().word()));
      return accused;
    }

    Finding of(String file, Finding.What what) {
      return findings.stream()
          .filter(f -> f.file().equals(file) && f.finding() == what)
          .findFirst()
          .orElseThrow();
    }
  }

  private static Audited audit(Path folder) throws IOException {
    List<Finding> findings = new ArrayList<>();
    AuditReport report = Audit.run(folder, 440, findings::add, () -> false);
    return new Audited(report, findings);
  }

  /** Of the three sets, only the saxophone's has a gap: every semitone from C#3 to A5 but A3. */
  @ParameterizedTest
  @ValueSource(strings = {"violin", "contrabass", "saxophone"})
  void nothingButWhatIsMissingIsFoundInTheRecordings(String instrument) throws IOException {
    Audited audited = audit(Outside.recordings(instrument));
    assertEquals(
        instrument.equals("saxophone") ? List.of("A3.wav missing") : List.of(),
        List.copyOf(audited.accused()));
    assertEquals("C4", audited.report.middleC());
    assertEquals(audited.report.named(), audited.report.agreeing());
  }

  /**
   * A folder tuned 40 cents sharp is in tune with itself: a note 45 cents above its neighbours is
   * out of tune, and no other note, though it lies 85 cents above the note in its name at 440 Hz. A
   * note a semitone down is another one, though only 57 cents below.
   */
  @Test
  void notesAreJudgedByTheFoldersOwnTuning() throws IOException {
    for (int i = 0; i < 12; i++) {
      tone(i, 40 + (i == 5 ? 45 : i == 8 ? -97 : i % 3 - 1), 0);
    }
    TreeSet<String> accused = audit(folder).accused();
    accused.removeIf(finding -> finding.endsWith("missing"));
    assertEquals(List.of("D4.wav tuning", "F4.wav wrong_note"), List.copyOf(accused));
  }

  /** Such a sample is hidden, and would be missing from the folder and from a new plan. */
  @Test
  void aFolderThatIsHalfRenamedIsNotAudited() throws IOException {
    for (int i = 0; i < 12; i++) {
      tone(i, i == 5 ? 100 : 0, 0);
    }
    Path half = folder.resolve(".takewright-rename-0-D4.wav");
    Files.move(folder.resolve("D4.wav"), half);
    FileProblemException refused = assertThrows(FileProblemException.class, () -> audit(folder));
    assertEquals(
        half
            + ": is left from a renaming that was interrupted; put the old names back first: give"
            + " its undo file as `plan_file`",
        refused.getMessage());
  }

  /** A hard attack is no level that is off: the note behind it is as loud as the others. */
  @Test
  void aHardAttackIsNotLouder() throws IOException {
    for (int i = 0; i < 12; i++) {
      tone(i, 0, i == 5 ? 0.6 : 0);
    }
    assertEquals(List.of(), List.copyOf(audit(folder).accused()));
  }

  /**
   * A second of a tone some semitones above A3, named after its note, with a click at its start.
   */
  private void tone(int semitones, double cents, double click) throws IOException {
    double hz = 220 * Math.pow(2, semitones / 12.0 + cents / 1200);
    float[] x = new float[48_000];
    for (int k = 0; k < x.length; k++) {
      double t = k / 48_000.0;
      for (int h = 1; h <= 5; h++) {
        x[k] += (float) (0.2 / h * Math.min(1, 50 * t) * Math.sin(2 * Math.PI * h * hz * t + h));
      }
      x[k] += (float) (click * Math.exp(-k / 20.0) * Math.sin(k));
    }
    String name = NoteNames.DEFAULTS.spell(57 + semitones) + ".wav";
    WavWriter.write(folder.resolve(name), Clip.of(48_000, x), 24, WavChunks.NONE);
  }

  /** The names of a set, lowest first, and where each fault goes in it. */
  @ParameterizedTest
  @ValueSource(strings = {"violin", "contrabass", "saxophone"})
  void everyPlantedFaultIsFoundAndNothingElseIsAccused(String instrument) throws IOException {
    List<Recordings.Note> notes = Recordings.of(instrument);
    TreeMap<String, Clip> clips = new TreeMap<>();
    for (Recordings.Note note : notes) {
      // 6 dB down, so that there is room for one that is louder.
      clips.put(note.name(), gained(note.read(30), 0.5));
    }
    List<String> names = notes.stream().map(Recordings.Note::name).toList();
    TreeSet<String> expected = new TreeSet<>();
    if (instrument.equals("saxophone")) {
      expected.add("A3.wav missing");
    }

    Clip first = clips.get(names.get(1));
    clips.put(names.get(1), clips.get(names.get(2)));
    clips.put(names.get(2), first);
    expected.add(names.get(1) + ".wav wrong_note");
    expected.add(names.get(2) + ".wav wrong_note");

    String octave = names.get(4);
    clips.put(octave, Retune.apply(clips.get(octave), new RetuneSettings(-1200, 0)));
    expected.add(octave + ".wav wrong_note");

    String loud = names.get(6);
    clips.put(loud, gained(clips.get(loud), 1.995));
    expected.add(loud + ".wav level");

    String late = names.get(8);
    clips.put(late, delayed(clips.get(late), 0.04));
    expected.add(late + ".wav start");

    String clipped = names.get(10);
    clips.put(clipped, clipped(clips.get(clipped)));
    expected.add(clipped + ".wav clipped");

    for (String name : names) {
      WavWriter.write(folder.resolve(name + ".wav"), clips.get(name), 16, WavChunks.NONE);
    }
    String copied = names.get(11);
    Files.copy(folder.resolve(copied + ".wav"), folder.resolve(copied + "_2.wav"));
    expected.add(copied + "_2.wav duplicate");

    Audited audited = audit(folder);
    assertEquals(expected, audited.accused(), audited.findings.toString());

    NoteNames spelt = new NoteNames(4, false, "s");
    Finding wrong = audited.of(octave + ".wav", Finding.What.WRONG_NOTE);
    assertEquals(octave, wrong.says());
    assertEquals(spelt.parse(octave) - 12, spelt.parse(wrong.sounds()));
    // The two that were swapped are to be swapped back; the octave's right name may be taken.
    assertTrue(
        audited.report.renames().stream()
            .anyMatch(
                r ->
                    r.from().equals(names.get(1) + ".wav")
                        && r.to().equals(names.get(2) + ".wav")));
  }

  /** A copy that is shifted, scaled and stored again is no other round robin. */
  @Test
  void aCopyShiftedAndScaledIsSeen() throws IOException {
    List<Recordings.Note> notes = Recordings.of("violin").subList(4, 8);
    for (Recordings.Note note : notes) {
      Clip clip = gained(note.read(4), 0.5);
      WavWriter.write(folder.resolve(note.name() + "_rr1.wav"), clip, 16, WavChunks.NONE);
    }
    Clip copy = gained(delayed(notes.get(2).read(4), 0.0173), 0.33);
    WavWriter.write(folder.resolve(notes.get(2).name() + "_rr2.wav"), copy, 24, WavChunks.NONE);
    Audited audited = audit(folder);
    assertEquals(
        List.of(notes.get(2).name() + "_rr2.wav duplicate"), List.copyOf(audited.accused()));
    assertTrue(audited.findings.get(0).detail().contains("17.3 ms"), audited.toString());
  }

  @Test
  void theOctaveOfMiddleCIsInferredAndNotesAreSpeltSo() throws IOException {
    NoteNames names = new NoteNames(3, true, "#");
    for (int midi = 55; midi <= 66; midi++) {
      tone("Fen_sus_close_" + names.spell(midi) + "_mf_rr1.wav", midi == 61 ? 64 : midi, midi);
    }
    Audited audited = audit(folder);
    assertEquals("C3", audited.report.middleC());
    Finding wrong = audited.of("Fen_sus_close_Db3_mf_rr1.wav", Finding.What.WRONG_NOTE);
    assertEquals("Db3", wrong.says());
    assertEquals("E3", wrong.sounds());
    assertEquals(1, audited.findings.size(), audited.findings.toString());
    // E3 is there, and right: the wrong one has nowhere to go.
    assertEquals(List.of(), audited.report.renames());
    assertEquals(1, audited.report.left().size());
  }

  /** A place that looks like a note but agrees with no sound is not the note. */
  @Test
  void theNoteIsWhatAgreesWithTheSound() throws IOException {
    for (int midi = 60; midi <= 67; midi++) {
      tone("d1_" + NoteNames.DEFAULTS.spell(midi) + "_b2.wav", midi, midi);
    }
    Audited audited = audit(folder);
    assertEquals("C4", audited.report.middleC());
    assertEquals(8, audited.report.agreeing());
    assertEquals(List.of(), audited.findings);
  }

  @Test
  void notesMayBeNumbers() throws IOException {
    for (int midi = 60; midi <= 67; midi++) {
      if (midi != 65) {
        tone("horn-0" + midi + "-v90.wav", midi == 62 ? 74 : midi, midi);
      }
    }
    Audited audited = audit(folder);
    assertEquals("", audited.report.middleC());
    assertEquals(
        List.of("horn-062-v90.wav wrong_note", "horn-065-v90.wav missing"),
        List.copyOf(audited.accused()));
    assertEquals("horn-074-v90.wav", audited.report.renames().get(0).to());
    assertEquals("D4", audited.findings.get(0).says());
    assertEquals("D5", audited.findings.get(0).sounds());
  }

  @Test
  void gapsInTheGridAreNamedAfterTheirNeighbours() throws IOException {
    for (int midi = 60; midi <= 66; midi++) {
      for (String dynamic : List.of("p", "f")) {
        for (int rr = 1; rr <= 2; rr++) {
          String name = "fen_" + NoteNames.DEFAULTS.spell(midi) + "_" + dynamic + "_rr" + rr;
          boolean left = midi == 63 || (midi == 65 && dynamic.equals("f") && rr == 2);
          if (!left) {
            tone(name + ".wav", midi, 31 * midi + rr + dynamic.hashCode());
          }
        }
      }
    }
    assertEquals(
        List.of(
            "fen_D#4_f_rr1.wav missing",
            "fen_D#4_f_rr2.wav missing",
            "fen_D#4_p_rr1.wav missing",
            "fen_D#4_p_rr2.wav missing",
            "fen_F4_f_rr2.wav missing"),
        List.copyOf(audit(folder).accused()));
  }

  @Test
  void brokenAndOddFilesAreNamed() throws IOException {
    for (int midi = 60; midi <= 66; midi++) {
      tone("fen_" + NoteNames.DEFAULTS.spell(midi) + ".wav", midi, midi);
    }
    tone("fen_solo.wav", 70, 70);
    Files.writeString(folder.resolve("fen_G4.wav"), "not audio");
    Clip silence = Clip.of(48_000, new float[20_000]);
    WavWriter.write(folder.resolve("fen_G#4.wav"), silence, 16, WavChunks.NONE);
    float[] other = note(44_100, 69, 1);
    Arrays.fill(other, 20_000, 20_100, 0);
    WavWriter.write(
        folder.resolve("fen_A4.wav"), Clip.of(44_100, other, other), 16, WavChunks.NONE);
    Files.writeString(folder.resolve("readme.txt"), "no sample");
    assertEquals(
        List.of(
            "fen_A4.wav channels",
            "fen_A4.wav dropout",
            "fen_A4.wav sample_rate",
            "fen_G#4.wav silent",
            "fen_G4.wav unreadable",
            "fen_solo.wav name_unreadable"),
        List.copyOf(audit(folder).accused()));
  }

  /** Hits have no note to be named after, and may be mono where the notes are stereo. */
  @Test
  void anArticulationMayHaveNoNotesAndItsOwnChannels() throws IOException {
    for (int midi = 60; midi <= 66; midi++) {
      float[] x = note(48_000, midi, midi);
      Path file = folder.resolve("fen_sustain_" + NoteNames.DEFAULTS.spell(midi) + ".wav");
      WavWriter.write(file, Clip.of(48_000, x, x), 16, WavChunks.NONE);
    }
    for (int hit = 1; hit <= 3; hit++) {
      tone("fen_hit_rr" + hit + ".wav", 50, hit);
    }
    assertEquals(List.of(), List.copyOf(audit(folder).accused()));
    for (int take = 1; take <= 3; take++) {
      tone("fen_sustain_Cis" + take + ".wav", 48 + take, 20 + take);
    }
    assertEquals(
        3,
        audit(folder).findings.stream()
            .filter(f -> f.finding() == Finding.What.NAME_UNREADABLE)
            .count());
  }

  @Test
  void namesThatClashAreNamed() throws IOException {
    for (int midi = 60; midi <= 66; midi++) {
      tone("fen_" + NoteNames.DEFAULTS.spell(midi) + ".wav", midi, midi);
    }
    tone("FEN_c4.wav", 60, 99);
    tone("fen_Gb4.wav", 66, 98);
    Audited audited = audit(folder);
    assertEquals(
        List.of("fen_C4.wav name_clash", "fen_Gb4.wav name_clash"), List.copyOf(audited.accused()));
    // Only one of the two pairs is the same file where case is ignored.
    String detail = audited.of("fen_C4.wav", Finding.What.NAME_CLASH).detail();
    assertTrue(detail.contains("FEN_c4.wav on file systems that ignore case"), detail);
    detail = audited.of("fen_Gb4.wav", Finding.What.NAME_CLASH).detail();
    assertTrue(detail.contains("says the same as fen_F#4.wav"), detail);
  }

  @Test
  void itStopsWhenCancelledAndRefusesWhatIsNoFolder() throws IOException {
    tone("C4.wav", 60, 1);
    assertThrows(CancellationException.class, () -> Audit.run(folder, 440, f -> {}, () -> true));
    assertThrows(
        NotDirectoryException.class,
        () -> Audit.run(folder.resolve("C4.wav"), 440, f -> {}, () -> false));
    Path empty = Files.createDirectory(folder.resolve("empty"));
    assertThrows(FileProblemException.class, () -> audit(empty));
  }

  /** Nothing in the folder is written, renamed or made. */
  @Test
  void nothingIsChanged() throws IOException {
    tone("C4.wav", 60, 1);
    tone("D4.wav", 64, 2);
    List<String> before = contents();
    audit(folder);
    assertEquals(before, contents());
  }

  private List<String> contents() throws IOException {
    try (Stream<Path> files = Files.list(folder)) {
      List<String> all = new ArrayList<>();
      for (Path file : files.sorted().toList()) {
        all.add(
            file.getFileName()
                + " "
                + Arrays.hashCode(Files.readAllBytes(file))
                + " "
                + Files.getLastModifiedTime(file));
      }
      return all;
    }
  }

  /** An invented note; {@code seed} makes each another performance. */
  private void tone(String name, int midi, long seed) throws IOException {
    Clip clip = Clip.of(48_000, note(48_000, midi, seed));
    WavWriter.write(folder.resolve(name), clip, 16, WavChunks.NONE);
  }

  private static float[] note(int rate, int midi, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    double f = 440 * Math.pow(2, (midi - 69) / 12.0);
    float[] x = new float[rate * 6 / 10];
    double phase = random.nextDouble();
    double wobble = random.nextDouble();
    double low = 0;
    for (int i = 0; i < x.length; i++) {
      double t = (double) i / rate;
      phase += f * (1 + 0.002 * Math.sin(2 * Math.PI * (5 * t + wobble))) / rate;
      double s = 0;
      for (int h = 1; h <= 6; h++) {
        s += Math.sin(2 * Math.PI * h * (phase + wobble * h)) / h;
      }
      low += 0.1 * (random.nextDouble() - 0.5 - low);
      x[i] = (float) (Math.min(1, 100 * t) * Math.min(1, 10 * (0.6 - t)) * 0.12 * (s + 0.1 * low));
    }
    return x;
  }

  private static Clip gained(Clip clip, double gain) {
    float[] x = clip.mono().clone();
    for (int i = 0; i < x.length; i++) {
      x[i] *= (float) gain;
    }
    return Clip.of(clip.sampleRate(), x);
  }

  private static Clip delayed(Clip clip, double seconds) {
    int frames = (int) (seconds * clip.sampleRate());
    float[] x = new float[clip.frames() + frames];
    System.arraycopy(clip.mono(), 0, x, frames, clip.frames());
    return Clip.of(clip.sampleRate(), x);
  }

  /** Driven 3 dB into a limit, then lowered by as much. */
  private static Clip clipped(Clip clip) {
    float[] x = clip.mono().clone();
    float peak = 0;
    for (float v : x) {
      peak = Math.max(peak, Math.abs(v));
    }
    float limit = 0.7f * peak;
    for (int i = 0; i < x.length; i++) {
      x[i] = Math.max(-limit, Math.min(limit, x[i])) / 0.7f * 0.99f;
    }
    return Clip.of(clip.sampleRate(), x);
  }
}
