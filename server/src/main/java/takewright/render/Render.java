package takewright.render;

import java.io.IOException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import takewright.audio.AudioFile;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;
import takewright.dsp.Decibels;
import takewright.library.folder.LibraryMap;
import takewright.library.folder.MapCsv;
import takewright.map.Player;
import takewright.map.Zone;
import takewright.name.NoteNames;

/** Plays a phrase through the finished samples of an output folder. */
public final class Render {
  /** Maximum length, in seconds: the result is held in memory. */
  private static final double MAX_LENGTH_S = 600;

  private static final int BIT_DEPTH = 24;

  private Render() {}

  /**
   * What is to be played.
   *
   * @param folder the output folder of a build
   * @param midiFile a Standard MIDI File; null for none
   * @param notes a list of notes; null for none. With neither, a phrase over the whole range
   * @param articulation empty for the first of the map
   * @param layer empty for the first of the articulation
   */
  public record Request(
      Path folder, Path midiFile, String notes, String articulation, String layer) {}

  /**
   * What was played.
   *
   * @param articulation the articulation that was taken
   * @param layer the layer that was taken
   * @param names how the library spells its notes
   * @param notes number of notes asked for
   * @param unplayed those that the library could not play
   * @param ranOut those that were held for longer than their sample lasts
   * @param seconds length
   * @param peakDbfs largest sample in dBFS; minus infinity for silence
   * @param gainDb how far it was lowered, in dB, 0 or less
   */
  public record RenderSummary(
      String articulation,
      String layer,
      NoteNames names,
      int notes,
      List<Player.NoteEvent> unplayed,
      List<Player.RanOut> ranOut,
      double seconds,
      double peakDbfs,
      double gainDb) {}

  /**
   * Plays and writes a WAV file.
   *
   * @throws FileProblemException if the map, the score or the list cannot be read, or does not have
   *     what is asked for
   */
  public static RenderSummary run(Request request, Path out) throws IOException {
    LibraryMap map = FileProblems.read("folder", () -> map(request.folder()));
    List<Zone> all = map.zones();
    String articulation = chosen("articulation", request.articulation(), words(all, true, null));
    String layer = chosen("layer", request.layer(), words(all, false, articulation));
    List<Zone> zones =
        all.stream()
            .filter(z -> z.articulation().equals(articulation) && z.layer().equals(layer))
            .toList();
    List<Player.NoteEvent> notes;
    if (request.midiFile() != null) {
      notes = FileProblems.read("midi_file", () -> Score.midi(request.midiFile()));
    } else if (request.notes() != null) {
      notes = Score.list(request.notes(), map.names());
    } else {
      notes = Score.phrase(zones);
    }
    String score = request.midiFile() == null ? "notes" : "midi_file";
    if (notes.isEmpty()) {
      throw new FileProblemException(
          Problem.invalid(score, "holds no note to play", "give at least one"));
    }
    double end = notes.stream().mapToDouble(n -> n.startS() + n.lengthS()).max().orElse(0);
    if (end > MAX_LENGTH_S) {
      throw new FileProblemException(
          Problem.invalid(
              score,
              "lasts " + Math.round(end) + " s, but at most 600 s are allowed",
              "give fewer or shorter notes"));
    }
    Player.Performance played =
        FileProblems.read(
            "folder",
            () ->
                Player.apply(
                    zones, notes, rate(request.folder(), zones), z -> open(request.folder(), z)));
    if (played.unplayed().size() == notes.size()) {
      throw new FileProblemException(
          Problem.invalid(
              score,
              "holds no note that " + articulation + " can play",
              "play notes from "
                  + map.names().spell(lowest(zones))
                  + " to "
                  + map.names().spell(highest(zones))));
    }
    WavWriter.write(out, played.audio(), BIT_DEPTH, WavChunks.NONE);
    float peak = 0;
    for (int c = 0; c < 2; c++) {
      for (float x : played.audio().channel(c)) {
        peak = Math.max(peak, Math.abs(x));
      }
    }
    return new RenderSummary(
        articulation,
        layer,
        map.names(),
        notes.size(),
        played.unplayed(),
        played.ranOut(),
        (double) played.audio().frames() / played.audio().sampleRate(),
        Decibels.fromAmplitude(peak),
        played.gainDb());
  }

  private static int lowest(List<Zone> zones) {
    return zones.stream().mapToInt(Zone::lowKey).min().orElseThrow();
  }

  private static int highest(List<Zone> zones) {
    return zones.stream().mapToInt(Zone::highKey).max().orElseThrow();
  }

  private static LibraryMap map(Path folder) throws IOException {
    LibraryMap map = MapCsv.read(folder);
    if (map.zones().isEmpty()) {
      throw FileProblemException.invalid(
          "map.csv", "holds no sample on any key", "build the library again");
    }
    return map;
  }

  private static int rate(Path folder, List<Zone> zones) throws IOException {
    try (AudioFile file = open(folder, zones.get(0))) {
      return file.sampleRate();
    }
  }

  private static AudioFile open(Path folder, Zone zone) throws IOException {
    Path file = folder.resolve(zone.file()).normalize();
    if (!file.startsWith(folder)) {
      throw FileProblemException.invalid(
          "map.csv", "names a file outside the folder: " + zone.file(), "build the library again");
    }
    try {
      return AudioFile.openChecked(file);
    } catch (NoSuchFileException e) {
      throw new FileProblemException(
          Reason.NOT_THERE,
          file.toString(),
          "does not exist, and map.csv names it",
          "build the library again");
    }
  }

  private static Set<String> words(List<Zone> zones, boolean articulations, String of) {
    Set<String> words = new LinkedHashSet<>();
    for (Zone zone : zones) {
      if (articulations) {
        words.add(zone.articulation());
      } else if (zone.articulation().equals(of)) {
        words.add(zone.layer());
      }
    }
    return words;
  }

  private static String chosen(String field, String asked, Set<String> there)
      throws FileProblemException {
    if (asked.isEmpty()) {
      return there.iterator().next();
    }
    if (!there.contains(asked)) {
      throw new FileProblemException(
          Problem.invalid(field, "is not in the map: " + asked, Nearest.remedy(asked, there, "")));
    }
    return asked;
  }
}
