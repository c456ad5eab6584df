package takewright.render;

import java.io.ByteArrayInputStream;
import java.io.EOFException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Path;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.Deque;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import javax.sound.midi.InvalidMidiDataException;
import javax.sound.midi.MetaMessage;
import javax.sound.midi.MidiEvent;
import javax.sound.midi.MidiMessage;
import javax.sound.midi.MidiSystem;
import javax.sound.midi.Sequence;
import javax.sound.midi.ShortMessage;
import javax.sound.midi.Track;
import takewright.audio.original.CheckedFile;
import takewright.diagnosis.Diagnosed;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Problem;
import takewright.diagnosis.SettingException;
import takewright.map.Player;
import takewright.map.Zone;
import takewright.name.NoteNames;

/** Notes to play: from a Standard MIDI File, a short list, or over the whole range of a map. */
final class Score {
  private static final Pattern NOTE =
      Pattern.compile(
          "(?<note>[^:@]+)(:(?<length>[0-9]{1,6}(\\.[0-9]{0,6})?|\\.[0-9]{1,6}))?"
              + "(@(?<velocity>[0-9]{1,3}))?");

  private static final double USUAL_LENGTH_S = 0.5;
  private static final int USUAL_VELOCITY = 100;

  /** More than any piece has, so that a mistake does not fill the memory. */
  private static final int MAX_NOTES = 100_000;

  /** Maximum size of a MIDI file, in bytes. */
  private static final int LARGEST_FILE = 64 << 20;

  private static final int TEMPO = 0x51;
  private static final int SUSTAIN_PEDAL = 64;

  /** Default tempo in microseconds per quarter note: 120 beats per minute (SMF 1.0). */
  private static final double USUAL_TEMPO_US = 500_000;

  private Score() {}

  /** How long a note is held, in seconds, so that its loop is heard more than once. */
  private static final double HELD_S = 5;

  /** Interval between held notes: a fifth. */
  private static final int HELD_STEP = 7;

  /**
   * Short notes up the whole range, then the middle root at every dynamic and round robin. Where
   * the samples have loops, notes over the whole range are held as well.
   */
  static List<Player.NoteEvent> phrase(List<Zone> zones) {
    List<Player.NoteEvent> notes = new ArrayList<>();
    double at = 0.25;
    TreeMap<Integer, List<Zone>> roots = new TreeMap<>();
    boolean[] covered = new boolean[128];
    for (Zone zone : zones) {
      roots.computeIfAbsent(zone.root(), r -> new ArrayList<>()).add(zone);
      for (int key = zone.lowKey(); key <= zone.highKey(); key++) {
        covered[key] = true;
      }
    }
    for (int key = 0; key < covered.length; key++) {
      if (covered[key]) {
        notes.add(new Player.NoteEvent(at, 0.4, key, USUAL_VELOCITY));
        at += 0.45;
      }
    }
    List<Integer> keys = List.copyOf(roots.keySet());
    List<Zone> middle = new ArrayList<>(roots.get(keys.get(keys.size() / 2)));
    middle.sort(Comparator.comparingInt(Zone::lowVelocity).thenComparingInt(Zone::rr));
    at += 0.5;
    for (Zone zone : middle) {
      notes.add(new Player.NoteEvent(at, 0.9, zone.root(), zone.highVelocity()));
      at += 1.2;
    }
    boolean looped = zones.stream().anyMatch(zone -> zone.loopEnd() != null);
    int next = 0;
    for (int key : keys) {
      if (looped && (key >= next || key == keys.get(keys.size() - 1))) {
        notes.add(new Player.NoteEvent(at, HELD_S, key, USUAL_VELOCITY));
        at += HELD_S + 0.5;
        next = key + HELD_STEP;
      }
    }
    return notes;
  }

  /**
   * A list such as {@code "C4 E4:0.5@80 67"}: note names or MIDI numbers, each with its length in
   * seconds after ":" and its velocity after "@", one after the other. "-" instead of a note is a
   * rest.
   *
   * @param names how the library spells its notes
   */
  static List<Player.NoteEvent> list(String text, NoteNames names) throws FileProblemException {
    List<Player.NoteEvent> notes = new ArrayList<>();
    double at = 0.25;
    for (String word : text.strip().split("[\\s,]+")) {
      Matcher matcher = NOTE.matcher(word);
      try {
        if (!matcher.matches()) {
          throw new SettingException(
              "notes",
              "holds \"" + word + "\", which is not a note",
              "write it like C4, C4:0.5 or C4:0.5@80");
        }
        double length =
            matcher.group("length") == null
                ? USUAL_LENGTH_S
                : Double.parseDouble(matcher.group("length"));
        if (!matcher.group("note").equals("-")) {
          int velocity =
              matcher.group("velocity") == null
                  ? USUAL_VELOCITY
                  : Integer.parseInt(matcher.group("velocity"));
          notes.add(new Player.NoteEvent(at, length, key(matcher.group("note"), names), velocity));
        }
        at += length;
      } catch (IllegalArgumentException e) {
        throw wrong(e);
      }
    }
    return notes;
  }

  private static FileProblemException wrong(IllegalArgumentException e) {
    Problem problem =
        e instanceof Diagnosed known
            ? known.problem().of("notes")
            : Problem.invalid("notes", "cannot be played: " + e.getMessage(), "correct them");
    return new FileProblemException(problem, e);
  }

  private static String name(Path file) {
    return String.valueOf(file.getFileName());
  }

  private static int key(String text, NoteNames names) {
    return text.matches("[0-9]{1,3}") ? Integer.parseInt(text) : names.parse(text);
  }

  /** The notes of a Standard MIDI File, of all its tracks and channels; held by the pedal too. */
  static List<Player.NoteEvent> midi(Path file) throws IOException {
    byte[] bytes;
    try (InputStream in = CheckedFile.read(file)) {
      bytes = in.readNBytes(LARGEST_FILE + 1);
    }
    if (bytes.length > LARGEST_FILE) {
      throw FileProblemException.invalid(
          name(file), "is too large for a MIDI file", "give a Standard MIDI File");
    }
    Sequence sequence;
    try {
      sequence = MidiSystem.getSequence(new ByteArrayInputStream(bytes));
    } catch (InvalidMidiDataException | EOFException | RuntimeException | OutOfMemoryError e) {
      // Java's reader allocates the length that a message claims, up to 256 MiB, before it checks
      // the file.
      throw FileProblemException.invalid(
          name(file), "is not a Standard MIDI File", "export it as one");
    }
    List<MidiEvent> events = new ArrayList<>();
    for (Track track : sequence.getTracks()) {
      for (int i = 0; i < track.size(); i++) {
        events.add(track.get(i));
      }
    }
    // Stable, so that events of one tick keep their order.
    events.sort(Comparator.comparingLong(MidiEvent::getTick));
    try {
      return new MidiReader(sequence).read(events, file);
    } catch (IllegalArgumentException e) {
      // Values that no note can have, which Java's reader accepts.
      throw new FileProblemException(
          Problem.invalid(
                  "",
                  "holds notes that cannot be played: " + e.getMessage(),
                  "export the MIDI file again")
              .at(name(file), 0),
          e);
    }
  }

  /** The keys that are down while a file is read. */
  private static final class MidiReader {
    private record Down(double startS, int velocity) {}

    private final Sequence sequence;
    private final Map<Integer, Deque<Down>> down = new HashMap<>();
    private final Map<Integer, Deque<Down>> heldByPedal = new HashMap<>();
    private final boolean[] pedal = new boolean[16];
    private final List<Player.NoteEvent> notes = new ArrayList<>();
    private double tempoUs = USUAL_TEMPO_US;
    private long tick;
    private double seconds;

    MidiReader(Sequence sequence) {
      this.sequence = sequence;
    }

    List<Player.NoteEvent> read(List<MidiEvent> events, Path file) throws FileProblemException {
      for (MidiEvent event : events) {
        seconds += (event.getTick() - tick) * secondsPerTick();
        tick = event.getTick();
        take(event.getMessage());
        if (notes.size() > MAX_NOTES) {
          throw FileProblemException.invalid(
              name(file), "has more than " + MAX_NOTES + " notes", "cut it into parts");
        }
      }
      // Keys that are never released end with the file.
      for (int c = 0; c < 16; c++) {
        pedal[c] = false;
      }
      for (Map<Integer, Deque<Down>> all : List.of(down, heldByPedal)) {
        for (Map.Entry<Integer, Deque<Down>> entry : all.entrySet()) {
          entry.getValue().forEach(d -> end(entry.getKey(), d));
        }
      }
      notes.sort(Comparator.comparingDouble(Player.NoteEvent::startS));
      return notes;
    }

    private double secondsPerTick() {
      return sequence.getDivisionType() == Sequence.PPQ
          ? tempoUs / 1e6 / sequence.getResolution()
          : 1.0 / (sequence.getDivisionType() * sequence.getResolution());
    }

    private void take(MidiMessage message) {
      if (message instanceof MetaMessage meta) {
        byte[] data = meta.getData();
        if (meta.getType() == TEMPO && data.length == 3) {
          tempoUs = (data[0] & 255) << 16 | (data[1] & 255) << 8 | data[2] & 255;
        }
        return;
      }
      if (!(message instanceof ShortMessage m)) {
        return;
      }
      int key = m.getChannel() << 7 | m.getData1();
      switch (m.getCommand()) {
        case ShortMessage.NOTE_ON -> {
          if (m.getData2() > 0) {
            down.computeIfAbsent(key, k -> new ArrayDeque<>()).add(new Down(seconds, m.getData2()));
          } else {
            release(key, m.getChannel());
          }
        }
        case ShortMessage.NOTE_OFF -> release(key, m.getChannel());
        case ShortMessage.CONTROL_CHANGE -> {
          if (m.getData1() == SUSTAIN_PEDAL) {
            pedal(m.getChannel(), m.getData2() >= 64);
          }
        }
        default -> {
          // Events that are not played.
        }
      }
    }

    private void release(int key, int channel) {
      Deque<Down> keys = down.get(key);
      if (keys == null || keys.isEmpty()) {
        return;
      }
      Down first = keys.poll();
      if (pedal[channel]) {
        heldByPedal.computeIfAbsent(key, k -> new ArrayDeque<>()).add(first);
      } else {
        end(key, first);
      }
    }

    private void pedal(int channel, boolean pressed) {
      pedal[channel] = pressed;
      if (pressed) {
        return;
      }
      for (Map.Entry<Integer, Deque<Down>> entry : heldByPedal.entrySet()) {
        if (entry.getKey() >> 7 == channel) {
          entry.getValue().forEach(d -> end(entry.getKey(), d));
          entry.getValue().clear();
        }
      }
    }

    private void end(int key, Down note) {
      // A note without length is played as a very short one.
      double length = Math.max(0.001, seconds - note.startS);
      notes.add(new Player.NoteEvent(note.startS, length, key & 127, note.velocity));
    }
  }
}
