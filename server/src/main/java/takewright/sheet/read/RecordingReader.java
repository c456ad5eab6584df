package takewright.sheet.read;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import takewright.audio.AudioFile;
import takewright.audio.AudioPiece;
import takewright.audio.Recording;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.SettingException;
import takewright.sheet.Layer;
import takewright.sheet.Span;
import takewright.sheet.decision.Decision;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Value;

/** Reads which files a take is in: of which microphones, channels and times. */
final class RecordingReader {
  static final Key<List<Value.Item>> FILE =
      Key.oneOrMore(
          "file",
          "The recording, beside the sheet: a file, some channels of one (poly.wav#1-2), or several"
              + " that continue each other.");
  static final Key<Fields> FILES =
      Key.section(
          "files", null, "Files recorded together, by layer: {close: a.wav, overhead: b.wav}.");
  static final Key<List<Value.Item>> BETWEEN =
      Key.texts("between", "The part of the recording that is this take: [0, \"12:30\"].");

  /** More is a slip; each file is looked at whenever the take is opened. */
  private static final int MAX_FILES = 100;

  private static final Pattern CHANNELS =
      Pattern.compile("(?<file>.+)#(?<first>\\d{1,3})(-(?<last>\\d{1,3}))?");

  private final SheetFolder folder;

  RecordingReader(SheetFolder folder) {
    this.folder = folder;
  }

  /** The layers for which takes name files. */
  static Set<String> microphones(List<Fields> takes) {
    Set<String> layers = new LinkedHashSet<>();
    for (Fields take : takes) {
      Fields files = take.get(FILES);
      if (files != null) {
        layers.addAll(files.keys());
      }
    }
    return layers;
  }

  /** The name of a take: its first file as the sheet writes it, without channels. */
  static String name(Fields take) {
    List<Value.Item> file = take.get(FILE);
    Fields files = take.get(FILES);
    if (file.isEmpty() && files != null && !files.keys().isEmpty()) {
      file = files.texts(files.keys().get(0));
    }
    if (file.isEmpty()) {
      return "";
    }
    Matcher some = CHANNELS.matcher(file.get(0).text());
    return some.matches() ? some.group("file") : file.get(0).text();
  }

  /** The recordings by layer; none where anything is wrong, which is noted. */
  Map<String, Recording> recordings(Fields take, List<Layer> layers) {
    Map<String, Recording> recordings = new LinkedHashMap<>();
    if (take.has(FILE) && take.has(FILES)) {
      take.refuseBoth(FILE, FILES, "leave one out");
      return recordings;
    }
    Set<String> recorded = new LinkedHashSet<>();
    layers.stream().filter(Layer::isRecorded).forEach(layer -> recorded.add(layer.name()));
    if (!take.has(FILES)) {
      take.require(FILE, "write file: sustain.wav, or files: {close: a.wav, overhead: b.wav}");
      Recording recording = recording(take, FILE.name(), take.get(FILE));
      if (recording != null) {
        String layer = recorded.isEmpty() ? LayerReader.LAYER_OF_FILE : recorded.iterator().next();
        recordings.put(layer, recording);
      }
      return recordings;
    }
    Fields microphones = take.get(FILES);
    if (microphones != null) {
      for (String layer : microphones.keys()) {
        microphone(microphones, layer, recorded, recordings);
      }
    }
    return recordings;
  }

  private void microphone(
      Fields microphones, String layer, Set<String> recorded, Map<String, Recording> recordings) {
    int line = microphones.line(layer);
    if (!recorded.isEmpty() && !recorded.contains(layer)) {
      String nearest = Nearest.ifNear(layer, recorded);
      microphones.error(
          line,
          FILES.name(),
          "names \"" + layer + "\", which is not a recorded layer of `layers`",
          (nearest == null ? "" : "did you mean \"" + nearest + "\"? If not, ")
              + ("add {name: " + layer + "} to `layers`"));
      return;
    }
    Recording recording = recording(microphones, FILES.name(), microphones.texts(layer));
    if (recording == null) {
      return;
    }
    for (Recording other : recordings.values()) {
      if (other.overlaps(recording)) {
        microphones.error(
            line,
            FILES.name(),
            "names \"" + recording.firstFile().getFileName() + "\" for two layers",
            "give each layer a file or channels of its own");
        return;
      }
    }
    recordings.put(layer, recording);
  }

  /** Null where anything is wrong, or nothing is named. */
  private Recording recording(Fields fields, String key, List<Value.Item> files) {
    if (files.size() > MAX_FILES) {
      fields.error(
          files.get(MAX_FILES).line(),
          key,
          "names more than " + MAX_FILES + " files",
          "join some of them, or make it several takes");
      return null;
    }
    List<AudioPiece> pieces = new ArrayList<>();
    for (Value.Item file : files) {
      AudioPiece piece = piece(fields, key, file);
      if (piece != null && pieces.contains(piece)) {
        fields.error(file.line(), key, "names \"" + file.text() + "\" twice", "leave one out");
        piece = null;
      }
      if (piece == null) {
        return null;
      }
      pieces.add(piece);
    }
    return pieces.isEmpty() ? null : new Recording(pieces);
  }

  private AudioPiece piece(Fields fields, String key, Value.Item item) {
    Matcher some = CHANNELS.matcher(item.text());
    if (!some.matches()) {
      Path file = folder.path(fields, item.line(), key, item.text());
      return file == null ? null : AudioPiece.whole(file);
    }
    int first = Integer.parseInt(some.group("first"));
    int last = some.group("last") == null ? first : Integer.parseInt(some.group("last"));
    if (first < 1 || last < first || last > AudioFile.MAX_CHANNELS) {
      fields.error(
          item.line(),
          key,
          "names the channels of \"" + item.text() + "\" wrongly",
          "give a channel from 1 to " + AudioFile.MAX_CHANNELS + ", or two: poly.wav#1-2");
      return null;
    }
    Path file = folder.path(fields, item.line(), key, some.group("file"));
    return file == null ? null : new AudioPiece(file, first, last);
  }

  /** The part of the recording that is the take. */
  static Span span(Fields take) {
    if (!take.has(BETWEEN)) {
      return Span.WHOLE;
    }
    List<Double> times = new ArrayList<>();
    try {
      for (Value.Item item : take.get(BETWEEN)) {
        times.add(Decision.of(true, item.text(), item.line()).fromS());
      }
    } catch (SettingException e) {
      times.clear();
    }
    if (times.size() == 2 && times.get(1) > times.get(0)) {
      return new Span(times.get(0), times.get(1));
    }
    take.error(
        BETWEEN,
        "is not two times in the recording, the first before the second",
        "write from and to: [0, \"12:30\"]");
    return Span.WHOLE;
  }
}
