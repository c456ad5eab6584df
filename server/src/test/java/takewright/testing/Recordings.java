package takewright.testing;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.name.NoteNames;

/** The single-note recordings that tests measure on; the tests' README names and credits them. */
public final class Recordings {
  private Recordings() {}

  /**
   * A recording of one note.
   *
   * @param name its file name without the ending, such as "Cs4"
   * @param midi what it says: middle C is C4, MIDI note 60
   */
  public record Note(String name, int midi, Path file) {
    /** All of it, at most {@code seconds} from its start. */
    public Clip read(double seconds) {
      try (AudioFile audio = AudioFile.open(file)) {
        long frames = Math.min(audio.frames(), (long) (seconds * audio.sampleRate()));
        return Clip.read(audio, (int) frames);
      } catch (IOException e) {
        throw new UncheckedIOException(e);
      }
    }
  }

  /** The notes as a sheet lists them, between its brackets. */
  public static String spelled(List<Note> notes) {
    return notes.stream()
        .map(note -> NoteNames.DEFAULTS.spell(note.midi()))
        .collect(Collectors.joining(", "));
  }

  /** The notes of an instrument, lowest first. */
  public static List<Note> of(String instrument) {
    return in(Outside.recordings(instrument));
  }

  /**
   * Recorded speech of telephone bandwidth, 8 kHz: the prompts of Debian's
   * asterisk-core-sounds-en-wav, by name.
   */
  public static List<Path> speech() {
    Path folder = Path.of("/usr/share/asterisk/sounds/en_US_f_Allison");
    if (!Files.isDirectory(folder)) {
      throw Outside.missing("asterisk-core-sounds-en-wav is not installed");
    }
    try (Stream<Path> files = Files.list(folder)) {
      return files.filter(f -> f.toString().endsWith(".wav")).sorted().toList();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** The notes of a folder, lowest first. */
  public static List<Note> in(Path folder) {
    List<Note> notes = new ArrayList<>();
    try (Stream<Path> files = Files.list(folder)) {
      for (Path file : files.filter(f -> f.toString().endsWith(".wav")).toList()) {
        String name = file.getFileName().toString().replace(".wav", "");
        notes.add(new Note(name, midi(name), file));
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    notes.sort(Comparator.comparingInt(Note::midi));
    return notes;
  }

  private static int midi(String name) {
    int[] pitchClass = {9, 11, 0, 2, 4, 5, 7};
    int sharp = name.charAt(1) == 's' ? 1 : 0;
    int octave = Integer.parseInt(name.substring(1 + sharp));
    return 12 * (octave + 1) + pitchClass[name.charAt(0) - 'A'] + sharp;
  }
}
