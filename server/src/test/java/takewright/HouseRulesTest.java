package takewright;

import static com.tngtech.archunit.base.DescribedPredicate.not;
import static com.tngtech.archunit.core.domain.JavaCall.Predicates.target;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAPackage;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAnyPackage;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideOutsideOfPackages;
import static com.tngtech.archunit.core.domain.properties.HasName.Predicates.name;
import static com.tngtech.archunit.core.domain.properties.HasOwner.Predicates.With.owner;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static com.tngtech.archunit.library.Architectures.layeredArchitecture;
import static com.tngtech.archunit.library.dependencies.SlicesRuleDefinition.slices;
import static org.junit.jupiter.api.Assertions.assertEquals;

import com.tngtech.archunit.base.DescribedPredicate;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.domain.JavaMethodCall;
import com.tngtech.archunit.core.importer.ImportOption;
import com.tngtech.archunit.junit.AnalyzeClasses;
import com.tngtech.archunit.junit.ArchTest;
import com.tngtech.archunit.lang.ArchRule;
import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.stream.Stream;
import takewright.audio.AudioFile;

/**
 * Who may know whom. Calls go cli, service, report, library, sheet, operations, then pitch, dsp and
 * audio, never back; audit and render stand beside library; an operation sees no gRPC, no file and
 * no clock; dsp is mathematics and knows no music.
 */
@AnalyzeClasses(packages = "takewright", importOptions = ImportOption.DoNotIncludeTests.class)
final class HouseRulesTest {
  private static final String CLI = "takewright.cli..";
  private static final String SERVICE = "takewright.service..";
  private static final String ACCESS = "takewright.service.access..";
  private static final String WORK = "takewright.service.work..";
  private static final String HTTP = "takewright.service.http..";
  private static final String WIRE = "takewright.service.wire..";
  private static final String CALL = "takewright.service.call..";
  private static final String SESSION = "takewright.service.session..";
  private static final String BUILD = "takewright.service.build..";
  private static final String LIBRARY = "takewright.library..";
  private static final String TAKE = "takewright.library.take..";
  private static final String MATCH = "takewright.library.match..";
  private static final String SAMPLE = "takewright.library.sample..";
  private static final String FOLDER = "takewright.library.folder..";
  private static final String SHEET = "takewright.sheet..";
  private static final String AUDIT = "takewright.audit..";
  private static final String RENDER = "takewright.render..";
  private static final String DIAGNOSIS = "takewright.diagnosis..";
  private static final String GRPC = "io.grpc..";
  private static final String CONTRACT = "takewright.v1..";
  private static final String REPORT = "takewright.report..";
  private static final String AUDIO = "takewright.audio..";
  private static final String DSP = "takewright.dsp..";
  private static final String PITCH = "takewright.pitch..";
  private static final String[] OPERATIONS = {
    PITCH,
    "takewright.segment..",
    "takewright.analyse..",
    "takewright.denoise..",
    "takewright.retune..",
    "takewright.level..",
    "takewright.name..",
    "takewright.layer..",
    "takewright.loop..",
    "takewright.map.."
  };

  /** Files of a package: about 25. */
  private static final int MAX_FILES = 26;

  /** Lines of a file: about 400. */
  private static final int MAX_LINES = 420;

  /** Files that may be longer, and why. */
  private static final Map<String, String> LONG_BY_ITS_FORM =
      Map.of(
          "SplitFft.java",
          "HotSpot makes vector code of its passes only with each distance written out");

  /** The parts of the audio package that open, read or write files. */
  private static final Set<String> FILES =
      Set.of(
          "takewright.audio.AudioFile",
          "takewright.audio.write.WavWriter",
          "takewright.audio.write.WavKeys",
          "takewright.audio.original.AtomicFile");

  /** Means of logarithms, the level of a velocity, and the decibels of an octave. */
  private static final Set<String> COMPUTE_LOGARITHMS =
      Set.of(
          "takewright.denoise.band.ThirdOctaves",
          "takewright.map.Player$Voice",
          "takewright.segment.Evidence",
          "takewright.segment.room.BandSpectrum");

  /** How files of audio are laid out, which is public for the packages below audio. */
  private static final Set<String> KNOWN_TO_AUDIO_ALONE =
      Set.of(
          "takewright.audio.FileBytes",
          "takewright.audio.PcmLayout",
          "takewright.audio.SampleFormat",
          "takewright.audio.WavHeader",
          "takewright.audio.write.WavFormat");

  /** What a caller may learn of a room once, and clean with more than once. */
  private static final Set<String> SHOWN_BY_THE_CLEANING =
      Set.of(
          "takewright.denoise.room.NoiseProfile",
          "takewright.denoise.room.RoomLearner",
          "takewright.denoise.room.RoomLearner$Between");

  /** What the cutting tells of a take's room. */
  private static final Set<String> SHOWN_BY_THE_CUTTING =
      Set.of("takewright.segment.room.RoomCourse");

  /** What a key needs of the sheet to say what is wrong with it, and to read a time. */
  private static final Set<String> KNOWN_TO_EVERY_KEY =
      Set.of(
          "takewright.sheet.SheetProblem",
          "takewright.sheet.SheetException",
          "takewright.sheet.decision.TakeTime");

  /** What the library's inner parts show to the report, the service and the renderer. */
  private static final Set<String> SHOWN_BY_THE_LIBRARY =
      Set.of(
          "takewright.library.take.TakeHeard",
          "takewright.library.take.LevelStrip",
          "takewright.library.folder.IndexRow",
          "takewright.library.folder.Changes",
          "takewright.library.folder.IndexCell",
          "takewright.library.folder.Stretch",
          "takewright.library.folder.Measures",
          "takewright.library.folder.BeforeAfter",
          "takewright.library.folder.LoopAndRelease",
          "takewright.library.folder.IndexCsv",
          "takewright.library.folder.LibraryMap",
          "takewright.library.folder.MapCsv",
          "takewright.library.sample.Tuning");

  /** What the JDK has of files and clocks outside the packages that are named whole. */
  private static final Set<String> OF_THE_JDK =
      Set.of(
          "java.io.File",
          "java.io.FileInputStream",
          "java.io.FileOutputStream",
          "java.io.RandomAccessFile",
          "java.util.Date");

  @ArchTest
  static final ArchRule dspKnowsOnlyItself =
      noClasses()
          .that()
          .resideInAPackage(DSP)
          .should()
          .dependOnClassesThat(
              resideInAnyPackage("takewright..")
                  .and(resideOutsideOfPackages(DSP))
                  .as("packages of this project other than dsp"))
          .because("dsp is mathematics: arrays in, arrays out")
          .allowEmptyShould(true);

  @ArchTest
  static final ArchRule audioKnowsOnlyItself =
      noClasses()
          .that()
          .resideInAPackage(AUDIO)
          .should()
          .dependOnClassesThat(
              resideInAnyPackage("takewright..")
                  .and(resideOutsideOfPackages(AUDIO))
                  .as("packages of this project other than audio"));

  @ArchTest
  static final ArchRule whatKeepsOriginalsKnowsNoFormatOfAudio =
      noClasses()
          .that()
          .resideInAPackage("takewright.audio.original..")
          .should()
          .dependOnClassesThat()
          .resideInAnyPackage(
              "takewright.audio", "takewright.audio.write..", "takewright.audio.marker..")
          .because("it is called by every writer, whatever is written");

  @ArchTest
  static final ArchRule bytesOfAudioFilesAreReadByAudioAlone =
      classes()
          .that(oneOf(KNOWN_TO_AUDIO_ALONE))
          .should()
          .onlyHaveDependentClassesThat()
          .resideInAPackage(AUDIO)
          .because("others open an AudioFile and write by WavWriter");

  @ArchTest
  static final ArchRule foldersAreHeldByWhoWritesAudio =
      noClasses()
          .that()
          .resideOutsideOfPackage(AUDIO)
          .should()
          .dependOnClassesThat()
          .haveNameMatching(
              "takewright\\.audio\\.original\\.(HeldFolder|WavMark|AtomicFile\\$Unnamed)")
          .because("others call AtomicFile, Originals and WavWriter");

  @ArchTest
  static final ArchRule filesOfASheetAndALibraryAreOpenedByCheckedPaths =
      noClasses()
          .that()
          .resideInAnyPackage(LIBRARY, SHEET, AUDIT, RENDER, REPORT)
          .should()
          .callMethod(AudioFile.class, "open", Path.class)
          .orShould()
          .callMethodWhere(opensByPath())
          .because("a link that has come into a path since it was checked must not be followed");

  private static DescribedPredicate<JavaMethodCall> opensByPath() {
    return DescribedPredicate.describe(
        "a file is read, made or deleted by its path",
        call ->
            call.getTargetOwner().isEquivalentTo(FileChannel.class) && call.getName().equals("open")
                || call.getTargetOwner().isEquivalentTo(Files.class)
                    && Set.of(
                            "newInputStream",
                            "newOutputStream",
                            "newByteChannel",
                            "newBufferedReader",
                            "readString",
                            "readAllBytes",
                            "readAllLines",
                            "lines",
                            "write",
                            "writeString",
                            "move",
                            "delete")
                        .contains(call.getName()));
  }

  @ArchTest
  static final ArchRule decibelsAreComputedInOnePlace =
      noClasses()
          .that()
          .resideOutsideOfPackage(DSP)
          .and(not(oneOf(COMPUTE_LOGARITHMS)))
          .should()
          .callMethod(Math.class, "log10", double.class)
          .because("Decibels says whether a ratio is of amplitudes or of powers");

  @ArchTest
  static final ArchRule pitchKnowsOnlyMathematicsAndAudio =
      noClasses()
          .that()
          .resideInAPackage(PITCH)
          .should()
          .dependOnClassesThat(
              resideInAnyPackage("takewright..")
                  .and(resideOutsideOfPackages(PITCH, AUDIO, DSP))
                  .as("packages other than pitch, dsp and audio"))
          .because("every operation may ask what a pitch is");

  @ArchTest
  static final ArchRule operationsKnowOnlyEachOtherAndBelow =
      noClasses()
          .that()
          .resideInAnyPackage(OPERATIONS)
          .should()
          .dependOnClassesThat(
              resideInAnyPackage("takewright..")
                  .and(resideOutsideOfPackages(OPERATIONS))
                  .and(resideOutsideOfPackages(AUDIO, DSP, DIAGNOSIS))
                  .as("packages above the operations"));

  @ArchTest
  static final ArchRule operationsSeeNoTransportNoFileNoClock =
      noClasses()
          .that()
          .resideInAnyPackage(OPERATIONS)
          .should()
          .dependOnClassesThat(
              resideInAnyPackage("io.grpc..", "com.google.protobuf..", "java.nio.file..")
                  .or(resideInAnyPackage("java.time..", "java.util.logging..", "java.net.."))
                  .or(oneOf(OF_THE_JDK))
                  .as("transport, files or clocks"))
          .orShould()
          .callMethodWhere(
              target(owner(name("java.lang.System")))
                  .and(target(name("currentTimeMillis")).or(target(name("nanoTime"))))
                  .as("it reads the clock"));

  @ArchTest
  static final ArchRule operationsOpenNoFiles =
      noClasses()
          .that()
          .resideInAnyPackage(OPERATIONS)
          .should()
          .dependOnClassesThat(oneOf(FILES).as("parts of audio that open, read or write files"));

  @ArchTest
  static final ArchRule cleaningAndTuningDoNotCut =
      noClasses()
          .that()
          .resideInAnyPackage("takewright.denoise..", "takewright.retune..")
          .should()
          .dependOnClassesThat()
          .haveFullyQualifiedName("takewright.segment.Segment")
          .because("an operation on one sample takes what it needs to know as settings");

  @ArchTest
  static final ArchRule stagesOfTheCleaningAreItsOwn =
      noClasses()
          .that()
          .resideOutsideOfPackage("takewright.denoise..")
          .should()
          .dependOnClassesThat(
              resideInAPackage("takewright.denoise.*..")
                  .and(not(oneOf(SHOWN_BY_THE_CLEANING)))
                  .as("stages of the cleaning"))
          .because("what is public there is meant for the neighbouring stages alone");

  @ArchTest
  static final ArchRule partsOfTheCuttingAreItsOwn =
      noClasses()
          .that()
          .resideOutsideOfPackage("takewright.segment..")
          .should()
          .dependOnClassesThat(
              resideInAPackage("takewright.segment.*..")
                  .and(not(oneOf(SHOWN_BY_THE_CUTTING)))
                  .as("parts of the cutting"))
          .because("what is public there is meant for the segmenter alone");

  @ArchTest
  static final ArchRule whatIsReadFromYamlKnowsNoSheet =
      noClasses()
          .that()
          .resideInAPackage("takewright.sheet.read.yaml..")
          .should()
          .dependOnClassesThat(
              resideInAPackage(SHEET)
                  .and(resideOutsideOfPackages("takewright.sheet.read.yaml.."))
                  .and(not(oneOf(KNOWN_TO_EVERY_KEY)))
                  .as("the sheet's own types"));

  @ArchTest
  static final ArchRule sheetDoesNotKnowItsCallers =
      noClasses()
          .that()
          .resideInAPackage(SHEET)
          .should()
          .dependOnClassesThat()
          .resideInAnyPackage(LIBRARY, AUDIT, RENDER, REPORT, SERVICE, CLI, GRPC, CONTRACT)
          .because("the plan of a library does not know how it is carried out");

  @ArchTest
  static final ArchRule libraryDoesNotKnowItsCallers =
      noClasses()
          .that()
          .resideInAPackage(LIBRARY)
          .should()
          .dependOnClassesThat()
          .resideInAnyPackage(AUDIT, RENDER, REPORT, SERVICE, CLI, GRPC, CONTRACT);

  @ArchTest
  static final ArchRule auditAndRenderStandBesideTheLibrary =
      noClasses()
          .that()
          .resideInAnyPackage(AUDIT, RENDER)
          .should()
          .dependOnClassesThat()
          .resideInAnyPackage(
              "takewright.library", TAKE, MATCH, SAMPLE, REPORT, SERVICE, CLI, GRPC, CONTRACT)
          .because("they look at finished samples, however those were made");

  @ArchTest
  static final ArchRule stepsOfABuildDoNotKnowItsOrder =
      noClasses()
          .that()
          .resideInAnyPackage(TAKE, MATCH, SAMPLE, FOLDER)
          .should()
          .dependOnClassesThat()
          .resideInAPackage("takewright.library");

  @ArchTest
  static final ArchRule stepsOfABuildKnowOnlyEarlierOnes =
      layeredArchitecture()
          .consideringOnlyDependenciesInAnyPackage("takewright.library..")
          .layer("order")
          .definedBy("takewright.library")
          .layer("sample")
          .definedBy(SAMPLE)
          .layer("follow")
          .definedBy("takewright.library.follow")
          .layer("take")
          .definedBy(TAKE)
          .layer("match")
          .definedBy(MATCH)
          .layer("folder")
          .definedBy(FOLDER)
          .whereLayer("sample")
          .mayOnlyBeAccessedByLayers("order")
          .whereLayer("take")
          .mayOnlyBeAccessedByLayers("order", "sample", "follow")
          .whereLayer("match")
          .mayOnlyBeAccessedByLayers("order", "sample", "take", "follow")
          .whereLayer("folder")
          .mayOnlyBeAccessedByLayers("order", "sample");

  @ArchTest
  static final ArchRule stepsOfABuildAreTheLibrarysOwn =
      noClasses()
          .that()
          .resideOutsideOfPackage(LIBRARY)
          .should()
          .dependOnClassesThat(
              resideInAnyPackage(TAKE, MATCH, SAMPLE, FOLDER)
                  .and(not(oneOf(SHOWN_BY_THE_LIBRARY)))
                  .as("inner parts of the library"))
          .because("what is public there is meant for the neighbouring steps alone");

  @ArchTest
  static final ArchRule noCircles = slices().matching("takewright.(**)").should().beFreeOfCycles();

  @ArchTest
  static final ArchRule reportDoesNotKnowItsCallers =
      noClasses()
          .that()
          .resideInAPackage(REPORT)
          .should()
          .dependOnClassesThat()
          .resideInAnyPackage(SERVICE, CLI, GRPC, CONTRACT, "java.awt..");

  @ArchTest
  static final ArchRule serviceHoldsNoSignalProcessing =
      noClasses()
          .that()
          .resideInAPackage(SERVICE)
          .should()
          .dependOnClassesThat()
          .resideInAnyPackage(CLI, DSP, "be.tarsos..", "org.jtransforms..")
          .allowEmptyShould(true);

  @ArchTest
  static final ArchRule commandsAreThinClientsOfTheService =
      noClasses()
          .that()
          .resideInAPackage(CLI)
          .should()
          .dependOnClassesThat(
              resideInAnyPackage(OPERATIONS)
                  .or(resideInAnyPackage(REPORT, LIBRARY, SHEET, AUDIT, RENDER, DSP))
                  .as("the operations, the library, the report or dsp"))
          .because("every other client must be able to do what a command does");

  @ArchTest
  static final ArchRule partsOfTheCommandsAreTheirOwn =
      classes()
          .that()
          .resideInAnyPackage(
              "takewright.cli.connect..", "takewright.cli.option..", "takewright.cli.show..")
          .should()
          .onlyHaveDependentClassesThat()
          .resideInAPackage(CLI)
          .because("what is public there is meant for the commands alone");

  @ArchTest
  static final ArchRule innerPartsOfTheServiceAreItsOwn =
      classes()
          .that()
          .resideInAnyPackage(ACCESS, WORK, WIRE, CALL, SESSION, BUILD)
          .should()
          .onlyHaveDependentClassesThat()
          .resideInAPackage(SERVICE)
          .because("a program that starts a server needs no more than the server and its settings");

  @ArchTest
  static final ArchRule sessionsAndBuildsAreMadeOfCalls =
      layeredArchitecture()
          .consideringOnlyDependenciesInAnyPackage(SERVICE)
          .layer("server")
          .definedBy("takewright.service")
          .layer("session")
          .definedBy(SESSION)
          .layer("build")
          .definedBy(BUILD)
          .layer("call")
          .definedBy(CALL)
          .layer("http")
          .definedBy(HTTP)
          .layer("work")
          .definedBy(WORK)
          .layer("access")
          .definedBy(ACCESS)
          .layer("wire")
          .definedBy(WIRE)
          .whereLayer("server")
          .mayNotBeAccessedByAnyLayer()
          .whereLayer("session")
          .mayOnlyBeAccessedByLayers("server")
          .whereLayer("build")
          .mayOnlyBeAccessedByLayers("server")
          .whereLayer("http")
          .mayOnlyBeAccessedByLayers("server", "build", "session")
          .whereLayer("call")
          .mayOnlyBeAccessedByLayers("server", "session", "build")
          .whereLayer("work")
          .mayOnlyBeAccessedByLayers("server", "session", "build", "call")
          .whereLayer("access")
          .mayOnlyBeAccessedByLayers("server", "session", "build", "call", "work")
          .whereLayer("wire")
          .mayOnlyBeAccessedByLayers("server", "session", "build", "call", "access", "http");

  @ArchTest
  static void noTwoClassesOfOneName(JavaClasses program) {
    Map<String, Set<String>> named = new TreeMap<>();
    for (JavaClass type : program) {
      if (!type.getPackageName().startsWith("takewright.v1") && !type.isAnonymousClass()) {
        named.computeIfAbsent(type.getSimpleName(), n -> new TreeSet<>()).add(type.getName());
      }
    }
    named.remove("package-info");
    named.values().removeIf(types -> types.size() == 1);
    assertEquals(Map.of(), named, "a reader who meets a name must know which class is meant");
  }

  @ArchTest
  static void placesAndFilesAreSmallEnoughToFindAThing(JavaClasses program) throws IOException {
    Map<Path, Integer> files = new TreeMap<>();
    List<String> tooLarge = new ArrayList<>();
    Path sources = Path.of("src/main/java/takewright");
    for (Path file : filesBelow(sources)) {
      files.merge(sources.relativize(file.getParent()), 1, Integer::sum);
      long lines = Files.readAllLines(file).size();
      String name = file.getFileName().toString();
      if (lines > MAX_LINES && !LONG_BY_ITS_FORM.containsKey(name)) {
        tooLarge.add(name + ": " + lines + " lines");
      }
    }
    files.forEach(
        (folder, count) -> {
          if (count > MAX_FILES) {
            tooLarge.add(folder + ": " + count + " files");
          }
        });
    assertEquals(List.of(), tooLarge, "carve out what is a thing of its own");
  }

  private static List<Path> filesBelow(Path folder) throws IOException {
    try (Stream<Path> all = Files.walk(folder)) {
      return all.filter(file -> file.toString().endsWith(".java")).sorted().toList();
    }
  }

  @ArchTest
  static final ArchRule onlyTheEdgesKnowTheContract =
      classes()
          .that()
          .resideInAPackage("takewright.v1..")
          .should()
          .onlyHaveDependentClassesThat()
          .resideInAnyPackage("takewright.v1..", SERVICE, CLI)
          .allowEmptyShould(true);

  private static DescribedPredicate<JavaClass> oneOf(Set<String> names) {
    return DescribedPredicate.describe("one of " + names, type -> names.contains(type.getName()));
  }
}
