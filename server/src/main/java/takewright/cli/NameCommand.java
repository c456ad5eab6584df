package takewright.cli;

import java.io.IOException;
import java.util.List;
import java.util.concurrent.Callable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.ParentCommand;
import picocli.CommandLine.Spec;
import takewright.cli.connect.Connection;
import takewright.cli.show.Sets;
import takewright.cli.table.TableColumn;
import takewright.cli.table.TableWriter;
import takewright.v1.Accidentals;
import takewright.v1.FormatNameRequest;
import takewright.v1.NameFacts;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.NamingServiceGrpc.NamingServiceBlockingStub;
import takewright.v1.NamingStyle;
import takewright.v1.ParseNameRequest;

@Command(
    name = "name",
    mixinStandardHelpOptions = true,
    description = "Writes the name of a sample from its facts, or reads the facts in a name.")
final class NameCommand implements Callable<Integer> {
  private static final List<TableColumn<NameFacts>> COLUMNS =
      List.of(
          TableColumn.of("library", NameFacts::hasLibrary, NameFacts::getLibrary),
          TableColumn.of("articulation", NameFacts::hasArticulation, NameFacts::getArticulation),
          TableColumn.of("layer", NameFacts::hasLayer, NameFacts::getLayer),
          TableColumn.of("midi", NameFacts::hasMidi, NameFacts::getMidi),
          TableColumn.of("dynamic", NameFacts::hasDynamic, NameFacts::getDynamic),
          TableColumn.of("rr", NameFacts::hasRr, NameFacts::getRr));

  /** How accidentals are spelt. */
  private enum Spelling {
    sharp,
    flat
  }

  @Spec private CommandSpec spec;
  @ParentCommand private Main main;
  @Mixin private Connection connection;

  @Option(names = "--library", paramLabel = "NAME", description = "Name of the library.")
  private String library;

  @Option(
      names = "--articulation",
      paramLabel = "WORD",
      description = "Articulation, for instance tremolo.")
  private String articulation;

  @Option(names = "--layer", paramLabel = "WORD", description = "Layer, for instance close.")
  private String layer;

  @Option(names = "--midi", paramLabel = "N", description = "Root note, 0 to 127; 60 is middle C.")
  private Integer midi;

  @Option(names = "--dynamic", paramLabel = "WORD", description = "Dynamic, for instance mf.")
  private String dynamic;

  @Option(names = "--rr", paramLabel = "N", description = "Round robin, from 1.")
  private Integer rr;

  @Option(
      names = "--parse",
      paramLabel = "NAME",
      description = "Reads the facts in this name instead, and prints them as CSV.")
  @Sets("name")
  private String parse;

  @Option(
      names = "--pattern",
      paramLabel = "PATTERN",
      description =
          "Fields in braces: library, articulation, layer, note, midi, dynamic, rr. Default:"
              + " {library}_{articulation}_{layer}_{note}_{dynamic}_rr{rr}.")
  private String pattern;

  @Option(
      names = "--middle-c",
      paramLabel = "NOTE",
      description = "What MIDI note 60 is called: C3, C4 or C5. Default: C4.")
  private String middleC;

  @Option(
      names = "--accidentals",
      paramLabel = "WORD",
      description = "${COMPLETION-CANDIDATES}. Default: sharp.")
  private Spelling accidentals;

  @Option(
      names = "--sharp-sign",
      paramLabel = "SIGN",
      description = "The sharp sign in names, # or s. Default: #.")
  private String sharpSign;

  @Option(names = "--json", description = "With --parse: prints JSON instead of CSV.")
  private boolean json;

  @Override
  public Integer call() throws IOException {
    NameFacts facts = facts();
    boolean none = facts.equals(NameFacts.getDefaultInstance());
    if (none == (parse == null)) {
      throw new ParameterException(
          spec.commandLine(), "give either facts (--library, --midi, ...) or --parse NAME");
    }
    try (Connection.OpenConnection session = connection.open()) {
      NamingServiceBlockingStub service = NamingServiceGrpc.newBlockingStub(session.channel());
      if (none) {
        NameFacts read =
            service
                .parseName(ParseNameRequest.newBuilder().setStyle(style()).setName(parse).build())
                .getFacts();
        write(read);
      } else {
        main.out.println(
            service
                .formatName(
                    FormatNameRequest.newBuilder().setStyle(style()).setFacts(facts).build())
                .getName());
      }
    }
    return Main.DONE;
  }

  private void write(NameFacts facts) throws IOException {
    try (TableWriter<NameFacts> rows = new TableWriter<>(main.out, json, COLUMNS)) {
      rows.row(facts);
    }
  }

  private NameFacts facts() {
    NameFacts.Builder facts = NameFacts.newBuilder();
    if (library != null) {
      facts.setLibrary(library);
    }
    if (articulation != null) {
      facts.setArticulation(articulation);
    }
    if (layer != null) {
      facts.setLayer(layer);
    }
    if (midi != null) {
      facts.setMidi(midi);
    }
    if (dynamic != null) {
      facts.setDynamic(dynamic);
    }
    if (rr != null) {
      facts.setRr(rr);
    }
    return facts.build();
  }

  private NamingStyle style() {
    NamingStyle.Builder style = NamingStyle.newBuilder();
    if (pattern != null) {
      style.setPattern(pattern);
    }
    if (middleC != null) {
      style.setMiddleC(middleC);
    }
    if (accidentals != null) {
      style.setAccidentals(
          accidentals == Spelling.sharp
              ? Accidentals.ACCIDENTALS_SHARP
              : Accidentals.ACCIDENTALS_FLAT);
    }
    if (sharpSign != null) {
      style.setSharpSign(sharpSign);
    }
    return style.build();
  }
}
