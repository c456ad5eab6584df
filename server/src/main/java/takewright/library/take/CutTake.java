package takewright.library.take;

import java.io.IOException;
import java.nio.file.NoSuchFileException;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.IdentityHashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.stream.IntStream;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.LimitedSource;
import takewright.audio.Recording;
import takewright.denoise.room.NoiseProfile;
import takewright.denoise.room.RoomLearner;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.Flag;
import takewright.diagnosis.FlagPlace;
import takewright.diagnosis.Flags;
import takewright.diagnosis.Reason;
import takewright.library.match.Bars;
import takewright.library.match.Corrections;
import takewright.library.match.Decisions;
import takewright.library.match.Matching;
import takewright.library.match.PlayedOrder;
import takewright.library.match.TakeAlignment;
import takewright.library.match.Trimming;
import takewright.pitch.PlannedPitch;
import takewright.segment.FrameRange;
import takewright.segment.Region;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;
import takewright.segment.Segmentation;
import takewright.sheet.Layer;
import takewright.sheet.Sheet;
import takewright.sheet.SheetProblem;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellName;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.check.TakeCheck;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.Fix;

/**
 * One take, cut and matched.
 *
 * @param take the take
 * @param segmentation what was found in it
 * @param cells what it should hold
 * @param regions its regions, joined, decided on and with their final ends
 * @param matching which region fills which cell
 * @param corrections what a person corrects about each region
 */
public record CutTake(
    Take take,
    Segmentation segmentation,
    List<Cell> cells,
    List<Region> regions,
    Matching matching,
    List<Correction> corrections) {
  /** Longer regions are not samples, in seconds. */
  private static final double MAX_REGION_S = 120;

  /** Room tone from which a profile is learnt, in seconds; more adds little. */
  private static final double TONE_S = 20;

  /** Maximum of one stretch, in seconds, so that several contribute. */
  private static final double STRETCH_S = 2;

  /** Maximum of one stretch once there is enough; it only has to show whether the room changed. */
  private static final double LATER_STRETCH_S = 0.75;

  /** Takes of a large session. */
  private static final Remembered<TakeHeard> CUT = new Remembered<>(32);

  private static final Remembered<TakeRoom> ROOMS = new Remembered<>(64);

  /**
   * Cuts a take; the audio is read once, block by block, and not at all if the same was cut before.
   */
  public static TakeHeard cut(Sheet sheet, Take take, java.util.function.BooleanSupplier cancelled)
      throws IOException {
    if (take.rules().cutting().fromMarkers()) {
      return cutNow(sheet, take, cancelled);
    }
    TakeHeard heard =
        CUT.get(
            take.main(),
            List.of(settings(sheet, take), take.span()),
            () -> cutNow(sheet, take, cancelled));
    return new TakeHeard(take, heard.segmentation(), heard.levels());
  }

  private static TakeHeard cutNow(
      Sheet sheet, Take take, java.util.function.BooleanSupplier cancelled) throws IOException {
    try (AudioFile file = open(take.main())) {
      long first = frame(take.span().fromS(), file);
      long last = frame(take.span().toS(), file);
      TakeCheck.requireSpan(sheet, take, (double) file.frames() / file.sampleRate());
      file.seek(first);
      LimitedSource part = new LimitedSource(new Stoppable(file, cancelled), last - first);
      LevelStrip strip = new LevelStrip(part);
      Segmentation found =
          take.rules().cutting().fromMarkers()
              ? Segment.marked(
                  strip, settings(sheet, take), MarkedTake.read(sheet, take).spans(first, last))
              : Segment.apply(strip, settings(sheet, take));
      return new TakeHeard(take, found.later(first), strip.levels());
    }
  }

  /** The frame of a time in a recording, at most its last. */
  private static long frame(double seconds, AudioFile file) {
    return Math.round(Math.min(file.frames(), seconds * file.sampleRate()));
  }

  /** How a take is cut. */
  public static SegmentSettings settings(Sheet sheet, Take take) {
    return take.rules().cutting().settings(take.kind(), take.leadInMs(), sheet.tuningHz());
  }

  /**
   * The regions of a take as they are matched: pieces of bars joined, unless a person marked them,
   * overlong ones rejected, and no tail said to be cut where notes ring into each other on purpose.
   *
   * @param isOver whether the take has ended
   */
  public static List<Region> joined(Take take, List<Region> found, int rate, boolean isOver) {
    List<Region> regions = new ArrayList<>();
    boolean isMarked = take.rules().cutting().fromMarkers();
    for (Region region : isMarked ? found : Bars.join(take, found, rate)) {
      boolean tooLong = region.end() - region.start() > MAX_REGION_S * rate;
      regions.add(tooLong ? tooLong(region) : region);
    }
    return RingingNotes.unflagged(take, regions, isOver);
  }

  /** The pitches of the notes that a take is to hold. */
  public static PlannedPitch planned(Sheet sheet, List<Cell> cells, int rate) {
    int[] midi =
        cells.stream()
            .map(Cell::midi)
            .filter(Objects::nonNull)
            .mapToInt(note -> note)
            .distinct()
            .toArray();
    return new PlannedPitch(midi, sheet.tuningHz(), rate);
  }

  /** The regions; low notes that end too soon to be heard surely are named by what is planned. */
  private static List<Region> named(Take take, List<Region> found, PlannedPitch planned)
      throws IOException {
    List<Region> regions = new ArrayList<>();
    for (Region region : found) {
      if (!region.mayBe(planned)) {
        regions.add(region);
        continue;
      }
      try (AudioFile file = open(take.main())) {
        file.seek(region.onset());
        regions.add(region.named(planned.of(Clip.read(file, (int) region.heardFrames()).mono())));
      }
    }
    return regions;
  }

  /**
   * Matches what was cut with what the sheet asks for.
   *
   * @param pickUps knows the takes that were matched before
   */
  public static CutTake match(
      Sheet sheet,
      Take take,
      Segmentation segmentation,
      PickUps pickUps,
      List<SheetProblem> warnings)
      throws IOException {
    int rate = segmentation.sampleRate();
    List<Cell> cells = sheet.cells(take);
    List<Region> found = named(take, segmentation.regions(), planned(sheet, cells, rate));
    List<Region> heard = joined(take, found, rate, true);
    SheetProblem ringing = RingingNotes.doubt(take, segmentation.regions());
    if (ringing != null) {
      warnings.add(ringing);
    }
    List<Region> decided = Decisions.apply(take, heard, rate, warnings);
    Rehearing hearing = new Rehearing(take, sheet.tuningHz(), MAX_REGION_S);
    Corrections corrections =
        Corrections.of(
            labelled(sheet, take, heard, rate),
            heard,
            decided,
            rate,
            segmentation.frames(),
            hearing,
            warnings);
    Set<Cell> elsewhere = pickUps.filled(take, cells);
    List<CellName> named = corrections.named(cells);
    Matching matching = TakeAlignment.match(corrections.regions(), named, cells, elsewhere, rate);
    List<CellName> settled = corrections.drop(named, cells, matching);
    if (settled != null) {
      matching =
          TakeAlignment.matchAgain(
              corrections.regions(), settled, cells, elsewhere, matching, rate);
    }
    corrections.addByCell(cells, matching);
    List<Region> regions = corrections.regions();
    Decisions.sayUnplaced(take, regions, matching, rate, warnings);
    SheetProblem otherOrder =
        take.fills().isPickUp() ? null : PlayedOrder.doubt(sheet, take, regions, matching, rate);
    if (otherOrder != null) {
      warnings.add(otherOrder);
    }
    regions = matching.marked(regions, rate);
    if (!take.rules().cutting().fromMarkers()) {
      regions = Bars.fill(take, regions, matching.statuses(), rate, segmentation.frames());
    }
    if (take.treatment().trimmed()) {
      regions = Trimming.apply(cells, regions, matching);
    }
    regions = corrections.finished(regions);
    corrections.sayUnmet(matching, regions);
    return new CutTake(take, segmentation, cells, regions, matching, corrections.all());
  }

  /** The take with what the labels of its markers say; the sheet's own corrections hold over it. */
  private static Take labelled(Sheet sheet, Take take, List<Region> heard, int rate)
      throws IOException {
    if (!take.rules().cutting().fromMarkers()) {
      return take;
    }
    List<Fix> fixes = new ArrayList<>(MarkedTake.read(sheet, take).fixes(heard, rate));
    fixes.addAll(take.fixes());
    return take.withFixes(fixes);
  }

  private static Region tooLong(Region r) {
    return r.marked(true, Flags.with(r.flags(), Flag.TOO_LONG));
  }

  /** The same where other takes fill some of its cells, or it need not fill them. */
  CutTake matched(Matching other) {
    return new CutTake(take, segmentation, cells, regions, other, corrections);
  }

  public boolean isKept(int region) {
    return matching.statuses().get(region) == CellStatus.KEPT;
  }

  /** A region that is kept, with the cell that it fills. */
  public KeptRegion kept(int region) {
    return new KeptRegion(
        take, regions.get(region), cells.get(matching.cells()[region]), corrections.get(region));
  }

  /** All regions that are kept, in the order of the take. */
  public List<KeptRegion> kept() {
    return IntStream.range(0, regions.size()).filter(this::isKept).mapToObj(this::kept).toList();
  }

  /** What is wrong with the regions that are kept, beside the others; told apart by identity. */
  public Map<Region, Set<Flag>> besideOthers() {
    List<KeptRegion> kept = kept();
    Map<Region, Set<Flag>> flags = new IdentityHashMap<>();
    OddLengths.of(kept, segmentation.sampleRate())
        .forEach(region -> flags.put(region, Flags.of(Flag.ODD_LENGTH)));
    ForeignParts.of(regions, kept, segmentation.sampleRate())
        .forEach(
            region ->
                flags.merge(
                    region,
                    Flags.of(Flag.DISTURBED),
                    (before, more) -> Flags.with(before, Flag.DISTURBED)));
    return flags;
  }

  /** Where the flags of a region have their reasons, of those that have a place. */
  public List<FlagPlace> places(int region, Set<Flag> flags) {
    return new FlagPlaces(regions, segmentation.sampleRate()).of(region, flags);
  }

  /** The same of a region that is kept, which is found by identity. */
  public List<FlagPlace> places(Region region, Set<Flag> flags) {
    int at = 0;
    while (at < regions.size() && regions.get(at) != region) {
      at++;
    }
    return at < regions.size() ? places(at, flags) : List.of();
  }

  /** The room of each microphone of a take; null if nobody was silent. */
  public static Map<String, TakeRoom> rooms(
      Take take, Segmentation segmentation, List<Layer> layers) throws IOException {
    Map<String, TakeRoom> rooms = new LinkedHashMap<>();
    for (Layer layer : layers) {
      rooms.put(layer.name(), room(take, segmentation, take.files().get(layer.name())));
    }
    return rooms;
  }

  /** The room of one microphone; null if nobody was silent. */
  static TakeRoom room(Take take, Segmentation segmentation, Recording microphone)
      throws IOException {
    List<Object> asked =
        List.of(segmentation.roomTone(), take.roomTone() == null ? List.of() : take.roomTone());
    return ROOMS.get(microphone, asked, () -> roomNow(take, segmentation, microphone));
  }

  private static TakeRoom roomNow(Take take, Segmentation segmentation, Recording microphone)
      throws IOException {
    List<Clip> tones = new ArrayList<>();
    double seconds = 0;
    try (AudioFile file = open(microphone)) {
      RoomLearner learner = new RoomLearner(file.sampleRate(), file.channels());
      for (FrameRange tone : roomTone(take, segmentation, file)) {
        boolean enough = seconds >= TONE_S;
        double max = enough ? LATER_STRETCH_S : STRETCH_S;
        long frames = Math.min(tone.length(), (long) (max * file.sampleRate()));
        file.seek(tone.start());
        Clip clip = Clip.read(file, (int) frames);
        learner.add(clip, tone.start());
        if (!enough) {
          tones.add(clip);
        }
        seconds += (double) frames / file.sampleRate();
      }
      for (RoomLearner.Between leap : learner.leaps()) {
        file.seek(leap.start());
        learner.hearBetween(file, leap);
      }
      return tones.isEmpty()
          ? null
          : new TakeRoom(learner.profile(), LevelsOfTakes.meanSquare(tones));
    }
  }

  /** The room tone: as the sheet names it, within the take, or as it was found. */
  private static List<FrameRange> roomTone(Take take, Segmentation segmentation, AudioFile file) {
    List<Double> named = take.roomTone();
    if (named == null) {
      return segmentation.roomTone();
    }
    List<FrameRange> parts = new ArrayList<>();
    long end = Math.min(file.frames(), (long) (named.get(1) * file.sampleRate()));
    long part = (long) (STRETCH_S * file.sampleRate());
    for (long at = (long) (named.get(0) * file.sampleRate()); at < end; at += part) {
      parts.add(new FrameRange(at, Math.min(at + part, end)));
    }
    return parts;
  }

  /**
   * The room with nobody playing.
   *
   * @param profile by which it is taken away
   * @param loudness its loudness as a mean square; 0 if it is below what loudness measures
   */
  public record TakeRoom(NoiseProfile profile, double loudness) {}

  /** The noise profiles of the microphones of which the room is known. */
  public static Map<String, NoiseProfile> profiles(Map<String, TakeRoom> rooms) {
    Map<String, NoiseProfile> profiles = new HashMap<>();
    rooms.forEach(
        (layer, room) -> {
          if (room != null) {
            profiles.put(layer, room.profile());
          }
        });
    return profiles;
  }

  public static AudioFile open(Recording take) throws IOException {
    try {
      return take.open();
    } catch (NoSuchFileException e) {
      throw new FileProblemException(
          Reason.NOT_THERE, e.getFile(), "does not exist", "check the name in the sheet");
    }
  }
}
