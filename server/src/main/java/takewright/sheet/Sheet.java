package takewright.sheet;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import takewright.diagnosis.FileProblemException;
import takewright.diagnosis.ProblemException;
import takewright.name.NameFacts;
import takewright.name.NamingStyle;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Fix;

/**
 * The plan of a library.
 *
 * @param file where it was read from, absolute
 * @param library name of the library
 * @param about what its files say of it beyond its notes
 * @param tuningHz frequency of A4 in hertz, 392 to 466
 * @param naming how files are named
 * @param middleCLine where the sheet says what MIDI note 60 is called, from 1; 0 if it does not
 * @param output what the files are to be
 * @param layers the ways in which every note is to be heard, at least one that is recorded
 * @param map how the samples are laid on the keys, and what instruments are written of them
 * @param takes the recordings, at least one
 */
public record Sheet(
    Path file,
    String library,
    About about,
    double tuningHz,
    NamingStyle naming,
    int middleCLine,
    Output output,
    List<Layer> layers,
    MapRules map,
    List<Take> takes) {
  public Sheet {
    layers = List.copyOf(layers);
    takes = List.copyOf(takes);
  }

  /** The same sheet with other takes. */
  public Sheet taking(List<Take> otherTakes) {
    return new Sheet(
        file, library, about, tuningHz, naming, middleCLine, output, layers, map, otherTakes);
  }

  /** Where a file really is: a path without links. May refuse by an exception. */
  public interface Reach {
    Path of(Path named) throws IOException;
  }

  /**
   * The same sheet, which names each of its files by where it really is.
   *
   * @throws SheetException if one may not be reached; it names the first of them
   */
  public Sheet reached(Reach reach) throws IOException {
    List<SheetProblem> refused = new ArrayList<>();
    Sheet real = reached(reach, refused::add);
    if (!refused.isEmpty()) {
      throw new SheetException(file, refused.get(0));
    }
    return real;
  }

  /**
   * The same, without the layers, templates and takes of which a file may not be reached.
   *
   * @param refused told of every such file, as a problem of the line that names it
   */
  public Sheet reached(Reach reach, Consumer<SheetProblem> refused) throws IOException {
    List<Layer> realLayers = new ArrayList<>();
    for (Layer layer : layers) {
      if (layer.impulse() == null) {
        realLayers.add(layer);
        continue;
      }
      NamedFiles named = new NamedFiles(reach, layer.line(), "impulse", refused);
      Layer real = layer.playedIn(named.of(layer.impulse()));
      named.addIfReached(real, realLayers);
    }
    List<MapTemplate> templates = new ArrayList<>();
    for (MapTemplate template : map.templates()) {
      NamedFiles named = new NamedFiles(reach, template.line(), "file", refused);
      Path real = named.of(template.file());
      named.addIfReached(new MapTemplate(template.line(), real, template.out()), templates);
    }
    List<Take> realTakes = new ArrayList<>();
    for (Take take : takes) {
      String key = take.files().size() > 1 ? "files" : "file";
      NamedFiles named = new NamedFiles(reach, take.line(), key, refused);
      named.addIfReached(take.reached(named), realTakes);
    }
    return new Sheet(
        file,
        library,
        about,
        tuningHz,
        naming,
        middleCLine,
        output,
        realLayers,
        new MapRules(map.keys(), map.dls(), templates),
        realTakes);
  }

  /** Files that one line of the sheet names; what may not be reached is wrong there. */
  private static final class NamedFiles implements Reach {
    private final Reach reach;
    private final int line;
    private final String key;
    private final Consumer<SheetProblem> refused;
    private boolean isReached = true;

    NamedFiles(Reach reach, int line, String key, Consumer<SheetProblem> refused) {
      this.reach = reach;
      this.line = line;
      this.key = key;
      this.refused = refused;
    }

    @Override
    public Path of(Path named) throws IOException {
      try {
        return reach.of(named);
      } catch (ProblemException | FileProblemException e) {
        refused.accept(SheetProblem.error(line, e.problem().of(key)));
        isReached = false;
        return named;
      }
    }

    /** Adds what was made of the files, unless one may not be reached. */
    <T> void addIfReached(T made, List<T> all) {
      if (isReached) {
        all.add(made);
      }
    }
  }

  /** The cells of all takes, take after take. */
  public List<Cell> cells() {
    List<Cell> cells = new ArrayList<>();
    takes.forEach(take -> cells.addAll(cells(take)));
    return cells;
  }

  /**
   * What a take should hold, in the order in which it is played, without what a person accepts as
   * missing.
   */
  public List<Cell> cells(Take take) {
    int[] sizes = new int[3];
    int[] at = new int[3];
    for (int i = 0; i < 3; i++) {
      sizes[i] =
          switch (take.order().get(i)) {
            case NOTE -> Math.max(1, take.notes().size());
            case DYNAMIC -> take.dynamics().size();
            case RR -> take.roundRobins();
          };
    }
    // A pick-up of the same cells need not hold them either.
    List<Take> accepting =
        takes.stream()
            .filter(other -> other.articulation().equals(take.articulation()))
            .filter(other -> other.fixes().stream().anyMatch(Fix::acceptsMissing))
            .toList();
    List<Cell> cells = new ArrayList<>(take.cellCount());
    for (at[0] = 0; at[0] < sizes[0]; at[0]++) {
      for (at[1] = 0; at[1] < sizes[1]; at[1]++) {
        for (at[2] = 0; at[2] < sizes[2]; at[2]++) {
          Cell cell = cell(take, at);
          if (accepting.stream().noneMatch(other -> other.acceptsAsMissing(cell))) {
            cells.add(cell);
          }
        }
      }
    }
    return cells;
  }

  private static Cell cell(Take take, int[] at) {
    Integer midi = null;
    if (!take.notes().isEmpty()) {
      midi = take.notes().get(at[take.order().indexOf(Take.Axis.NOTE)]);
    }
    String dynamic = take.dynamics().get(at[take.order().indexOf(Take.Axis.DYNAMIC)]);
    int rr = at[take.order().indexOf(Take.Axis.RR)] + 1;
    return new Cell(take.index(), take.articulation(), midi, dynamic, rr);
  }

  /**
   * The layers that a take gives: those it was recorded for, and those that are made from its main
   * microphone.
   */
  public List<Layer> layers(Take take) {
    return layers.stream()
        .filter(
            layer ->
                layer.isRecorded()
                    ? take.files().containsKey(layer.name())
                    : layer.isFor(take.articulation()))
        .toList();
  }

  /** The layers that a take was recorded for. */
  public List<Layer> recorded(Take take) {
    return layers(take).stream().filter(Layer::isRecorded).toList();
  }

  /** The layers that are made from a take's main microphone. */
  public List<Layer> made(Take take) {
    return layers(take).stream().filter(layer -> !layer.isRecorded()).toList();
  }

  /** What the name of a cell's file in a layer says. */
  public NameFacts facts(Cell cell, Layer layer) {
    return new NameFacts(
        library, cell.articulation(), layer.name(), cell.midi(), cell.dynamic(), cell.rr());
  }
}
