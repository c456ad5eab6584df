package takewright.bench;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.demo.Demo;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/** The takes to measure on: real notes in a room, or the demo's where there are no recordings. */
final class Takes {
  static final int RATE = 48_000;

  private static final List<String> INSTRUMENTS = List.of("violin", "contrabass", "saxophone");

  /** Longest piece of a recording that is used, in seconds: as long as held notes are played. */
  private static final double NOTE_S = 5;

  /** Level of the room: a quiet studio. */
  private static final double ROOM_DBFS = -62;

  private Takes() {}

  /**
   * A session.
   *
   * @param takes its files, mono, 24 bits
   * @param seconds of audio in all
   * @param real whether real recordings are in it
   * @param fix a file of decisions that makes one sample louder
   */
  record Session(Path sheet, List<Path> takes, double seconds, boolean real, String fix) {}

  /** The folder of the recordings, or null. */
  static Path recordings() {
    String set = System.getenv("TAKEWRIGHT_RECORDINGS");
    Path folder = set == null || set.isBlank() ? root().resolve(".cache/recordings") : Path.of(set);
    return Files.isDirectory(folder.resolve(INSTRUMENTS.get(0))) ? folder : null;
  }

  /** The folder of the program. */
  static Path root() {
    return Path.of(System.getProperty("takewright.root", ".")).toAbsolutePath().normalize();
  }

  /** Makes a session of about so many minutes. */
  static Session make(Path folder, double minutes) throws IOException {
    Path recordings = recordings();
    if (recordings == null) {
      return demo(folder);
    }
    Files.createDirectories(folder);
    List<Path> files = new ArrayList<>();
    StringBuilder sheet = new StringBuilder("library: Bench\ntakes:\n");
    double seconds = 0;
    String fix = null;
    for (String instrument : INSTRUMENTS) {
      Path file = folder.resolve(instrument + ".wav");
      int frames = (int) (minutes * 60 / INSTRUMENTS.size() * RATE);
      Played played = take(recordings.resolve(instrument), file, frames);
      files.add(file);
      seconds += seconds(file);
      fix = fix(file, played.notes().get(0), "f");
      sheet
          .append("  - file: " + instrument + ".wav\n    articulation: " + instrument)
          .append("\n    kind: pitched\n    notes: " + played.notes())
          .append("\n    dynamics: [f]\n    round_robins: " + played.passes())
          .append("\n    order: [rr, note, dynamic]\n");
    }
    Path file = Files.writeString(folder.resolve("sheet.yaml"), sheet);
    return new Session(file, files, seconds, true, fix);
  }

  private static String fix(Path take, String note, String dynamic) {
    return "takes:\n  - file: "
        + take.getFileName()
        + "\n    fixes:\n      - {note: \""
        + note
        + "\", dynamic: "
        + dynamic
        + ", rr: 1, gain_db: 1.5}\n";
  }

  /** What was played: which notes, and how often all of them. */
  private record Played(List<String> notes, int passes) {}

  /** Lays an instrument's notes down, over and over. */
  private static Played take(Path recordings, Path file, int frames) throws IOException {
    SplittableRandom random = new SplittableRandom(10);
    TakeBuilder take = new TakeBuilder(RATE, 10);
    take.pause(3);
    List<String> names = new ArrayList<>();
    List<float[]> sounds = new ArrayList<>();
    List<Recordings.Note> all = Recordings.in(recordings);
    // As many notes, evenly over the range, as one pass through them leaves time for.
    int count = (int) Math.min(all.size(), Math.max(2, frames / ((NOTE_S + 2) * RATE)));
    List<Recordings.Note> notes = new ArrayList<>();
    for (int n = 0; n < count; n++) {
      Recordings.Note note = all.get(n * all.size() / count);
      Clip clip = Retune.apply(note.read(NOTE_S), new RetuneSettings(0, RATE));
      sounds.add(TakeBuilder.faded(clip));
      names.add(note.name().replace('s', '#'));
      notes.add(note);
    }
    int passes = 0;
    while (take.length() < frames) {
      for (int n = 0; n < sounds.size(); n++) {
        double peak = -12 - 6 * random.nextDouble();
        take.sound("note", notes.get(n).midi(), sounds.get(n), peak, ROOM_DBFS).pause();
      }
      passes++;
    }
    take.pause(2);
    WavWriter.write(file, take.build(ROOM_DBFS), 24, WavChunks.NONE);
    return new Played(names, passes);
  }

  private static Session demo(Path folder) throws IOException {
    Path sheet = Demo.write(folder);
    List<Path> files = new ArrayList<>();
    double seconds = 0;
    try (var all = Files.list(folder)) {
      for (Path file : all.filter(f -> f.toString().endsWith(".wav")).sorted().toList()) {
        files.add(file);
        seconds += seconds(file);
      }
    }
    return new Session(sheet, files, seconds, false, fix(folder.resolve("sustain.wav"), "A3", "p"));
  }

  /** Length of a file. */
  static double seconds(Path file) throws IOException {
    try (AudioFile audio = AudioFile.open(file)) {
      return (double) audio.frames() / audio.sampleRate();
    }
  }

  /** A room for convolution: two seconds of noise that dies away, made and not recorded. */
  static Path impulse(Path folder) throws IOException {
    SplittableRandom random = new SplittableRandom(20);
    float[] x = new float[2 * RATE];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.02 * (random.nextDouble() - 0.5) * Math.exp(-7.0 * i / x.length));
    }
    Path file = folder.resolve("room.wav");
    WavWriter.write(file, Clip.of(RATE, x), 24, WavChunks.NONE);
    return file;
  }

  /** Deletes a folder of a bench and what is in it. */
  static void delete(Path folder) throws IOException {
    if (!Files.isDirectory(folder)) {
      return;
    }
    try (var all = Files.walk(folder)) {
      for (Path file : all.sorted(java.util.Comparator.reverseOrder()).toList()) {
        Files.delete(file);
      }
    }
  }
}
