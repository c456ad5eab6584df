package takewright.cli.table;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import takewright.cli.option.KindOption;
import takewright.cli.show.Texts;
import takewright.v1.AnalyseResponse;
import takewright.v1.BlockFacts;
import takewright.v1.Envelope;
import takewright.v1.Faults;
import takewright.v1.Pitch;
import takewright.v1.PitchCourse;
import takewright.v1.SampleFacts;
import takewright.v1.Timbre;

/**
 * What was measured of a file or of one block of it: a row of the tables of {@code analyse}.
 *
 * @param file as it was named
 * @param answer holds the facts of the file, or those of a block
 */
public record MeasuredFile(Path file, AnalyseResponse answer) {
  /** A row per file. */
  public static final List<TableColumn<MeasuredFile>> COLUMNS =
      columns(
          List.of(
              TableColumn.<SampleFacts>of("kind", facts -> KindOption.word(facts.getKind())),
              pitch(TableColumn.of("note", Pitch::getNote)),
              pitch(TableColumn.of("midi", Pitch::getMidi)),
              pitch(TableColumn.of("cents", 2, Pitch::getCents)),
              pitch(TableColumn.of("confidence", 3, Pitch::getConfidence)),
              TableColumn.of("level_lufs", 2, SampleFacts::hasLevelLufs, SampleFacts::getLevelLufs),
              TableColumn.of("peak_dbtp", 2, SampleFacts::getPeakDbtp),
              TableColumn.of("floor_dbfs", 2, SampleFacts::getFloorDbfs),
              TableColumn.<SampleFacts>of("flags", facts -> Texts.words(facts.getFlagsList())),
              pitch(TableColumn.of("frequency_hz", 3, Pitch::getFrequencyHz)),
              TableColumn.of("frames", SampleFacts::getFrames),
              TableColumn.of("sample_rate_hz", SampleFacts::getSampleRateHz),
              TableColumn.of("channels", SampleFacts::getChannels),
              envelope(TableColumn.of("onset_s", 3, Envelope::getOnsetS)),
              envelope(TableColumn.of("attack_ms", 0, Envelope::getAttackMs)),
              envelope(TableColumn.of("decay_ms", 0, Envelope::getDecayMs)),
              envelope(TableColumn.of("release_ms", 0, Envelope::getReleaseMs)),
              envelope(TableColumn.of("steady_rms_dbfs", 2, Envelope::getSteadyRmsDbfs)),
              envelope(
                  TableColumn.of(
                      "floor_before_dbfs",
                      2,
                      Envelope::hasFloorBeforeDbfs,
                      Envelope::getFloorBeforeDbfs)),
              envelope(
                  TableColumn.of(
                      "floor_after_dbfs",
                      2,
                      Envelope::hasFloorAfterDbfs,
                      Envelope::getFloorAfterDbfs)),
              envelope(
                  TableColumn.of(
                      "signal_to_noise_db",
                      2,
                      Envelope::hasSignalToNoiseDb,
                      Envelope::getSignalToNoiseDb)),
              timbre(
                  TableColumn.of("centroid_hz", 1, Timbre::hasCentroidHz, Timbre::getCentroidHz)),
              timbre(
                  TableColumn.of(
                      "centroid_start_hz",
                      1,
                      Timbre::hasCentroidStartHz,
                      Timbre::getCentroidStartHz)),
              timbre(
                  TableColumn.of(
                      "centroid_end_hz", 1, Timbre::hasCentroidEndHz, Timbre::getCentroidEndHz)),
              timbre(TableColumn.of("noisiness", 4, Timbre::getNoisiness)),
              timbre(TableColumn.of("balance_db", 2, Timbre::hasBalanceDb, Timbre::getBalanceDb)),
              timbre(
                  TableColumn.of("correlation", 3, Timbre::hasCorrelation, Timbre::getCorrelation)),
              faults(TableColumn.of("clipped_tops", Faults::getClippedTops)),
              faults(TableColumn.of("dropouts", Faults::getDropouts)),
              faults(TableColumn.of("dc", 5, Faults::getDc)),
              course(TableColumn.of("deviation_cents", 2, PitchCourse::getDeviationCents)),
              course(TableColumn.of("drift_cents", 2, PitchCourse::getDriftCents)),
              course(
                  TableColumn.of(
                      "vibrato_hz", 2, PitchCourse::hasVibratoHz, PitchCourse::getVibratoHz)),
              course(
                  TableColumn.of(
                      "vibrato_cents",
                      2,
                      PitchCourse::hasVibratoCents,
                      PitchCourse::getVibratoCents)),
              course(
                  TableColumn.of(
                      "glide_from_hz",
                      3,
                      PitchCourse::hasGlideFromHz,
                      PitchCourse::getGlideFromHz)),
              course(
                  TableColumn.of(
                      "glide_to_hz", 3, PitchCourse::hasGlideToHz, PitchCourse::getGlideToHz)),
              TableColumn.<SampleFacts>of(
                  "pitches", facts -> facts.getPitchesList().stream().map(Pitch::getNote).toList()),
              pitch(
                  TableColumn.of(
                      "cents_uncertainty",
                      2,
                      Pitch::hasCentsUncertainty,
                      Pitch::getCentsUncertainty))),
          AnalyseResponse::getFacts);

  /** A row per block. */
  public static final List<TableColumn<MeasuredFile>> BLOCK_COLUMNS =
      columns(
          List.of(
              TableColumn.<BlockFacts>of("start_frame", block -> block.getFrames().getStartFrame()),
              TableColumn.<BlockFacts>of("end_frame", block -> block.getFrames().getEndFrame()),
              TableColumn.of("rms_dbfs", 2, BlockFacts::getRmsDbfs),
              TableColumn.of("peak_dbfs", 2, BlockFacts::getPeakDbfs),
              TableColumn.of(
                  "momentary_lufs", 2, BlockFacts::hasMomentaryLufs, BlockFacts::getMomentaryLufs),
              TableColumn.of(
                  "short_term_lufs", 2, BlockFacts::hasShortTermLufs, BlockFacts::getShortTermLufs),
              blockPitch(TableColumn.of("note", Pitch::getNote)),
              blockPitch(TableColumn.of("midi", Pitch::getMidi)),
              blockPitch(TableColumn.of("cents", 1, Pitch::getCents)),
              blockPitch(TableColumn.of("frequency_hz", 3, Pitch::getFrequencyHz)),
              blockPitch(TableColumn.of("confidence", 3, Pitch::getConfidence))),
          AnalyseResponse::getBlock);

  /** The file, and columns of what was measured. */
  private static <F> List<TableColumn<MeasuredFile>> columns(
      List<TableColumn<F>> measured, Function<AnalyseResponse, F> facts) {
    List<TableColumn<MeasuredFile>> columns = new ArrayList<>();
    columns.add(TableColumn.of("file", MeasuredFile::file));
    measured.forEach(column -> columns.add(column.within(row -> facts.apply(row.answer))));
    return List.copyOf(columns);
  }

  private static TableColumn<SampleFacts> pitch(TableColumn<Pitch> column) {
    return column.within(facts -> facts.hasPitch() ? facts.getPitch() : null);
  }

  private static TableColumn<BlockFacts> blockPitch(TableColumn<Pitch> column) {
    return column.within(block -> block.hasPitch() ? block.getPitch() : null);
  }

  private static TableColumn<SampleFacts> envelope(TableColumn<Envelope> column) {
    return column.within(facts -> facts.hasEnvelope() ? facts.getEnvelope() : null);
  }

  private static TableColumn<SampleFacts> timbre(TableColumn<Timbre> column) {
    return column.within(facts -> facts.hasTimbre() ? facts.getTimbre() : null);
  }

  private static TableColumn<SampleFacts> faults(TableColumn<Faults> column) {
    return column.within(facts -> facts.hasFaults() ? facts.getFaults() : null);
  }

  private static TableColumn<SampleFacts> course(TableColumn<PitchCourse> column) {
    return column.within(facts -> facts.hasCourse() ? facts.getCourse() : null);
  }
}
